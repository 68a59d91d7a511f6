//! Frames: cutting a byte stream into message bodies, and writing one.
//!
//! Knows headers and lengths, not JSON. Whatever the stream holds, the next well-formed frame after
//! it is found again, and no more than one body of [`LARGEST`] bytes is ever held.

use std::{fmt, io};

use tokio::io::{AsyncBufReadExt, AsyncRead, BufReader};

/// A body above this is skipped, not read: three times the largest document, which leaves room for
/// the escapes of JSON.
pub(crate) const LARGEST: u64 = 96 << 20;

/// A length above this is taken for garbage, since skipping so much would swallow all that follows.
const UNBELIEVABLE: u64 = 1 << 30;

/// The header line kept while looking for its end; more is garbage and only its tail is kept.
const LONGEST_LINE: usize = 4 << 10;

/// What can be wrong with a frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// Bytes that are no header line.
    Garbage,
    /// The headers ended without a usable `Content-Length`.
    NoLength,
    /// Two lengths that differ, or one that is no believable number.
    BadLength(String),
    /// The body is above [`LARGEST`] and was skipped.
    TooLarge(u64),
    /// The body is not declared as UTF-8 and was skipped.
    Charset(String),
    /// The stream ended inside a frame.
    Truncated,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Garbage => f.write_str("bytes that are no header"),
            Self::NoLength => f.write_str("headers without a Content-Length"),
            Self::BadLength(value) => {
                write!(f, "a Content-Length that is no number to trust: {value}")
            }
            Self::TooLarge(length) => write!(
                f,
                "a message of {length} bytes; the most taken is {LARGEST}"
            ),
            Self::Charset(name) => write!(f, "a message in {name}; only UTF-8 is read"),
            Self::Truncated => f.write_str("the input ended inside a message"),
        }
    }
}

/// One thing found in the stream.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Frame {
    /// A message's bytes.
    Body(Vec<u8>),
    /// Something that is not a frame; reading goes on behind it.
    Bad(Fault),
}

#[derive(Debug, Default)]
struct Head {
    length: Option<u64>,
    charset: Option<String>,
    begun: bool,
}

#[derive(Debug)]
enum State {
    Head,
    Body { left: usize },
    Skip { left: u64 },
}

/// The state machine: bytes in, frames out, in pieces of any size.
#[derive(Debug)]
pub(crate) struct Deframer {
    state: State,
    head: Head,
    line: Vec<u8>,
    body: Vec<u8>,
    /// Set from a fault to the next good frame, so that one accident is told once.
    lost: bool,
}

impl Default for Deframer {
    fn default() -> Self {
        Self {
            state: State::Head,
            head: Head::default(),
            line: Vec::new(),
            body: Vec::new(),
            lost: false,
        }
    }
}

impl Deframer {
    /// Takes from `bytes` up to the end of the next frame: how many were used, and the frame.
    pub(crate) fn feed(&mut self, bytes: &[u8]) -> (usize, Option<Frame>) {
        match self.state {
            State::Head => self.feed_head(bytes),
            State::Body { left } => self.feed_body(bytes, left),
            State::Skip { left } => {
                let used = bytes.len().min(usize::try_from(left).unwrap_or(usize::MAX));
                let left = left - used as u64;
                self.state = if left == 0 {
                    State::Head
                } else {
                    State::Skip { left }
                };
                (used, None)
            }
        }
    }

    /// What the end of the stream cut off, if anything.
    pub(crate) fn finish(&self) -> Option<Fault> {
        let inside = self.head.begun || !self.line.is_empty() || !matches!(self.state, State::Head);
        (inside && !self.lost).then_some(Fault::Truncated)
    }

    fn feed_head(&mut self, bytes: &[u8]) -> (usize, Option<Frame>) {
        let end = bytes.iter().position(|&byte| byte == b'\n');
        let used = end.map_or(bytes.len(), |at| at + 1);
        self.line.extend_from_slice(&bytes[..used]);
        if end.is_some() {
            let line = std::mem::take(&mut self.line);
            let frame = self.take_line(line.trim_ascii());
            self.line = line;
            self.line.clear();
            return (used, frame);
        }
        (used, self.drop_long_line())
    }

    /// A line without end is garbage; its tail stays, since a header may follow on the same line.
    fn drop_long_line(&mut self) -> Option<Frame> {
        if self.line.len() <= LONGEST_LINE {
            return None;
        }
        self.line.drain(..self.line.len() - LONGEST_LINE / 2);
        self.fault(Fault::Garbage)
    }

    fn take_line(&mut self, line: &[u8]) -> Option<Frame> {
        if line.is_empty() {
            return self.end_head();
        }
        self.head.begun = true;
        let whole = !self.lost && split_header(line).is_some();
        let (header, clean) = if whole {
            (line, true)
        } else {
            past_garbage(line)
        };
        let fault = self
            .take_header(header)
            .or_else(|| (!clean).then_some(Fault::Garbage));
        fault.and_then(|fault| self.fault(fault))
    }

    fn take_header(&mut self, line: &[u8]) -> Option<Fault> {
        let Some((name, value)) = split_header(line) else {
            return Some(Fault::Garbage);
        };
        if name.eq_ignore_ascii_case(b"content-length") {
            return self.take_length(value);
        }
        if name.eq_ignore_ascii_case(b"content-type") {
            self.head.charset = foreign_charset(value);
        }
        None
    }

    fn take_length(&mut self, value: &[u8]) -> Option<Fault> {
        let text = String::from_utf8_lossy(value);
        let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let length = text
            .parse()
            .ok()
            .filter(|&length: &u64| digits && length <= UNBELIEVABLE);
        let agrees = self.head.length.is_none_or(|before| Some(before) == length);
        self.head.length = length.filter(|_| agrees);
        self.head
            .length
            .is_none()
            .then(|| Fault::BadLength(text.chars().take(40).collect()))
    }

    fn end_head(&mut self) -> Option<Frame> {
        let head = std::mem::take(&mut self.head);
        match (head.length, head.charset) {
            (None, _) if !head.begun => None,
            (None, _) => self.fault(Fault::NoLength),
            (Some(length), Some(charset)) => Some(self.skip(length, Fault::Charset(charset))),
            (Some(length), None) if length > LARGEST => {
                Some(self.skip(length, Fault::TooLarge(length)))
            }
            (Some(length), None) => self.begin_body(length as usize),
        }
    }

    fn skip(&mut self, left: u64, fault: Fault) -> Frame {
        self.lost = false;
        self.state = if left == 0 {
            State::Head
        } else {
            State::Skip { left }
        };
        Frame::Bad(fault)
    }

    fn begin_body(&mut self, left: usize) -> Option<Frame> {
        self.lost = false;
        if left == 0 {
            return Some(Frame::Body(Vec::new()));
        }
        self.state = State::Body { left };
        // The length is only a claim: room is made as the bytes come.
        self.body = Vec::with_capacity(left.min(64 << 10));
        None
    }

    fn feed_body(&mut self, bytes: &[u8], left: usize) -> (usize, Option<Frame>) {
        let used = bytes.len().min(left);
        self.body.extend_from_slice(&bytes[..used]);
        if used < left {
            self.state = State::Body { left: left - used };
            return (used, None);
        }
        self.state = State::Head;
        (used, Some(Frame::Body(std::mem::take(&mut self.body))))
    }

    fn fault(&mut self, fault: Fault) -> Option<Frame> {
        let told = std::mem::replace(&mut self.lost, true);
        (!told).then_some(Frame::Bad(fault))
    }
}

/// A body carries no line end, so after an accident the next header follows it on the same line.
fn past_garbage(line: &[u8]) -> (&[u8], bool) {
    const NAME: &[u8] = b"content-length:";
    let at = line
        .windows(NAME.len())
        .rposition(|window| window.eq_ignore_ascii_case(NAME));
    at.map_or((line, true), |at| (&line[at..], at == 0))
}

fn split_header(line: &[u8]) -> Option<(&[u8], &[u8])> {
    let colon = line.iter().position(|&byte| byte == b':')?;
    let (name, value) = (
        line[..colon].trim_ascii_end(),
        line[colon + 1..].trim_ascii(),
    );
    let is_token = |byte: &u8| byte.is_ascii_alphanumeric() || b"!#$%&'*+-.^_`|~".contains(byte);
    (!name.is_empty() && name.iter().all(is_token)).then_some((name, value))
}

/// The charset of a `Content-Type` where it is another than UTF-8, which some write `utf8`.
fn foreign_charset(value: &[u8]) -> Option<String> {
    let value = String::from_utf8_lossy(value).to_ascii_lowercase();
    let charset = value
        .split(';')
        .skip(1)
        .find_map(|part| part.trim().strip_prefix("charset="))?;
    let charset = charset.trim_matches(['"', '\'', ' ']);
    (!matches!(charset, "utf-8" | "utf8")).then(|| charset.chars().take(40).collect())
}

/// Frames of a stream. Dropping a `next` that is still waiting loses nothing.
#[derive(Debug)]
pub(crate) struct Frames<R> {
    source: BufReader<R>,
    machine: Deframer,
}

impl<R: AsyncRead + Unpin> Frames<R> {
    pub(crate) fn new(source: R) -> Self {
        Self {
            source: BufReader::with_capacity(32 << 10, source),
            machine: Deframer::default(),
        }
    }

    /// The next frame; `None` at the end of the stream.
    pub(crate) async fn next(&mut self) -> io::Result<Option<Frame>> {
        loop {
            let bytes = self.source.fill_buf().await?;
            if bytes.is_empty() {
                let cut = self.machine.finish();
                self.machine = Deframer::default();
                return Ok(cut.map(Frame::Bad));
            }
            let (used, frame) = self.machine.feed(bytes);
            self.source.consume(used);
            if frame.is_some() {
                return Ok(frame);
            }
        }
    }
}

/// A body with its header, ready to be written in one piece.
pub(crate) fn framed(body: &[u8]) -> Vec<u8> {
    let mut frame = Vec::with_capacity(body.len() + 32);
    frame.extend_from_slice(format!("Content-Length: {}\r\n\r\n", body.len()).as_bytes());
    frame.extend_from_slice(body);
    frame
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cut(bytes: &[u8], step: usize) -> Vec<Frame> {
        let mut machine = Deframer::default();
        let mut found = Vec::new();
        for mut piece in bytes.chunks(step.max(1)) {
            while !piece.is_empty() {
                let (used, frame) = machine.feed(piece);
                piece = &piece[used..];
                found.extend(frame);
            }
        }
        found.extend(machine.finish().map(Frame::Bad));
        found
    }

    fn body(text: &str) -> Frame {
        Frame::Body(text.as_bytes().to_vec())
    }

    #[test]
    fn headers_are_read_as_the_protocol_writes_them_and_as_clients_do() {
        for head in [
            "Content-Length: 2\r\n\r\n",
            "content-length:2\r\n\r\n",
            "CONTENT-LENGTH: 2\n\n",
            "\r\n\r\nContent-Length: 2\r\n\r\n",
            "Content-Type: application/vscode-jsonrpc\r\nContent-Length: 2\r\n\r\n",
            "Content-Length: 2\r\nContent-Type: x; charset=UTF8\r\nX-One: 1\r\nX-Two: 2\r\n\r\n",
            "Content-Length: 2\r\nContent-Length: 2\r\n\r\n",
        ] {
            assert_eq!(
                cut(format!("{head}{{}}").as_bytes(), 3),
                [body("{}")],
                "{head:?}"
            );
        }
    }

    #[test]
    fn an_accident_is_told_once_and_the_next_frame_is_found() {
        let good = "Content-Length: 2\r\n\r\n[]";
        let bad = |fault| vec![Frame::Bad(fault), body("[]")];
        for (junk, expected) in [
            ("{\"jsonrpc\":\"2.0\"}", bad(Fault::Garbage)),
            ("hello\r\nworld\r\n\r\n", bad(Fault::Garbage)),
            ("X-One: 1\r\n\r\n{\"a\":1}", bad(Fault::NoLength)),
            (
                "Content-Length: two\r\n\r\n{}",
                bad(Fault::BadLength("two".into())),
            ),
            (
                "Content-Length: -2\r\n\r\n{}",
                bad(Fault::BadLength("-2".into())),
            ),
            (
                "Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}",
                bad(Fault::BadLength("3".into())),
            ),
            (
                "Content-Length: 99999999999\r\n\r\n{}",
                bad(Fault::BadLength("99999999999".into())),
            ),
            (
                "Content-Length: 2\r\nContent-Type: x; charset=utf-16\r\n\r\n{}",
                bad(Fault::Charset("utf-16".into())),
            ),
        ] {
            assert_eq!(
                cut(format!("{junk}{good}").as_bytes(), 7),
                expected,
                "{junk:?}"
            );
        }
    }

    #[test]
    fn a_body_that_is_too_large_is_skipped_without_being_held() {
        let mut machine = Deframer::default();
        let length = LARGEST + 1;
        let head = format!("Content-Length: {length}\r\n\r\n");
        let mut rest = head.as_bytes();
        let mut found = Vec::new();
        while !rest.is_empty() {
            let (used, frame) = machine.feed(rest);
            rest = &rest[used..];
            found.extend(frame);
        }
        assert_eq!(found, [Frame::Bad(Fault::TooLarge(length))]);
        let block = vec![b'x'; 1 << 20];
        let mut left = length;
        while left > 0 {
            let (used, frame) = machine.feed(&block[..block.len().min(left as usize)]);
            assert_eq!(frame, None);
            assert_eq!(machine.body.capacity(), 0);
            left -= used as u64;
        }
        assert_eq!(machine.feed(b"Content-Length: 0\r\n"), (19, None));
        assert_eq!(machine.feed(b"\r\n"), (2, Some(body(""))));
    }

    #[test]
    fn the_end_inside_a_frame_is_told() {
        assert_eq!(
            cut(b"Content-Length: 9\r\n\r\n{}", 64),
            [Frame::Bad(Fault::Truncated)]
        );
        assert_eq!(cut(b"Content-Len", 64), [Frame::Bad(Fault::Truncated)]);
        assert_eq!(cut(b"\r\n", 64), []);
    }

    proptest! {
        #[test]
        fn pieces_do_not_matter_and_garbage_never_holds_memory(
            bytes in prop::collection::vec(prop_oneof![
                Just(b"Content-Length: 3\r\n\r\nabc".to_vec()),
                Just(b"content-type: a; charset=x\r\n".to_vec()),
                prop::collection::vec(any::<u8>(), 0..40),
            ], 0..12),
            step in 1usize..50,
        ) {
            let bytes = bytes.concat();
            prop_assert_eq!(cut(&bytes, step), cut(&bytes, bytes.len()));
        }

        #[test]
        fn what_is_framed_is_read(bodies in prop::collection::vec(prop::collection::vec(any::<u8>(), 0..60), 0..8), step in 1usize..40) {
            let bytes: Vec<u8> = bodies.iter().flat_map(|body| framed(body)).collect();
            let expected: Vec<Frame> = bodies.into_iter().map(Frame::Body).collect();
            prop_assert_eq!(cut(&bytes, step), expected);
        }

        #[test]
        fn a_line_without_end_is_not_kept(length in 0usize..40_000) {
            let mut machine = Deframer::default();
            for piece in vec![b'y'; length].chunks(100) {
                machine.feed(piece);
            }
            prop_assert!(machine.line.len() <= LONGEST_LINE);
        }
    }
}
