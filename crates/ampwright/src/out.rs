//! Where output goes: the standard output, whose reader may leave, and one clear sentence on the
//! standard error.

use std::{
    io::{self, BufWriter, ErrorKind, IsTerminal, Write},
    process::ExitCode,
};

use crate::{cli::Colour, visible::visible};

/// What a command comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// Nothing to complain of.
    Clean,
    /// Findings at or above the chosen severity; a file not in the written form.
    Found,
    /// Something could not be read.
    Unread,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome as u8)
    }
}

/// The standard output. A reader who leaves (`| head`) ends the printing, quietly.
pub(crate) fn standard() -> impl Write {
    Patient {
        inner: BufWriter::new(io::stdout().lock()),
        left: false,
    }
}

struct Patient<W> {
    inner: W,
    left: bool,
}

impl<W: Write> Patient<W> {
    fn unless_left<T>(
        &mut self,
        otherwise: T,
        act: impl FnOnce(&mut W) -> io::Result<T>,
    ) -> io::Result<T> {
        if self.left {
            return Ok(otherwise);
        }
        match act(&mut self.inner) {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => {
                self.left = true;
                Ok(otherwise)
            }
            result => result,
        }
    }
}

impl<W: Write> Write for Patient<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.unless_left(bytes.len(), |inner| inner.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.unless_left((), Write::flush)
    }
}

/// Says one sentence on the standard error; where nobody listens, nobody is told.
pub(crate) fn complain(sentence: &str) {
    let _ = writeln!(io::stderr(), "ampwright: {}", visible(sentence));
}

impl Colour {
    /// Whether to colour the standard output.
    pub(crate) fn wanted(self) -> bool {
        match self {
            Self::Always => true,
            Self::Never => false,
            Self::Auto => {
                let refused = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
                let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
                io::stdout().is_terminal() && !refused("NO_COLOR") && !dumb
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Gone;

    impl Write for Gone {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(ErrorKind::BrokenPipe.into())
        }

        fn flush(&mut self) -> io::Result<()> {
            Err(ErrorKind::BrokenPipe.into())
        }
    }

    #[test]
    fn a_reader_who_leaves_is_no_error() {
        let mut out = Patient {
            inner: Gone,
            left: false,
        };
        assert!(out.write_all(b"more").is_ok());
        assert!(out.flush().is_ok());
        assert!(out.left);
    }
}
