//! Where the server's log goes: to the client once there is one, before that to the standard error.
//!
//! Events are all that the server logs with, so this is the whole subscriber: no spans, no fields
//! but the message. The standard output is the protocol and is never touched.

use std::{
    cell::Cell,
    fmt::{self, Write as _},
    io::Write as _,
    sync::{
        Arc, OnceLock,
        atomic::{AtomicU8, Ordering},
    },
};

use tracing::{
    Event, Level, Metadata, Subscriber,
    field::{Field, Visit},
    span,
};

use crate::transport::Client;

/// How much is logged: each level holds those before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Amount {
    /// Nothing.
    Off,
    /// What failed.
    Error,
    /// What went wrong and was coped with.
    #[default]
    Warn,
    /// What was begun and ended.
    Info,
    /// Everything.
    Debug,
}

impl Amount {
    /// The words by which settings choose, in the order of the amounts.
    pub const WORDS: [&str; 5] = ["off", "error", "warn", "info", "debug"];

    /// The amount of a word.
    pub fn of(word: &str) -> Option<Self> {
        let all = [Self::Off, Self::Error, Self::Warn, Self::Info, Self::Debug];
        let at = Self::WORDS.iter().position(|known| *known == word)?;
        all.get(at).copied()
    }
}

/// The log. Cheap to clone.
#[derive(Clone, Debug, Default)]
pub struct Log(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    amount: AtomicU8,
    client: OnceLock<Client>,
}

impl Default for Shared {
    fn default() -> Self {
        Self {
            amount: AtomicU8::new(Amount::default() as u8),
            client: OnceLock::new(),
        }
    }
}

impl Log {
    /// Makes this the log of the whole process. A second one is not taken, and nothing is lost by it.
    pub fn install(&self) {
        drop(tracing::subscriber::set_global_default(self.clone()));
    }

    /// Logs so much from now on.
    pub(crate) fn set_amount(&self, amount: Amount) {
        let before = self.0.amount.swap(amount as u8, Ordering::Relaxed);
        if before != amount as u8 {
            tracing::callsite::rebuild_interest_cache();
        }
    }

    /// Logs to this client from now on.
    pub(crate) fn send_to(&self, client: &Client) {
        drop(self.0.client.set(client.clone()));
    }

    fn write(&self, level: Level, message: &str) {
        match self.0.client.get() {
            Some(client) => client.log(kind(level), message),
            // Nobody is left to be told where even this fails.
            None => drop(writeln!(std::io::stderr(), "ampwright: {level}: {message}")),
        }
    }
}

/// The protocol's number of a level.
fn kind(level: Level) -> u8 {
    match level {
        Level::ERROR => 1,
        Level::WARN => 2,
        Level::INFO => 3,
        _ => 4,
    }
}

fn amount(level: Level) -> Amount {
    match level {
        Level::ERROR => Amount::Error,
        Level::WARN => Amount::Warn,
        Level::INFO => Amount::Info,
        _ => Amount::Debug,
    }
}

thread_local! {
    /// Set while a line is written: whatever that logs itself is not written, or it would never end.
    static WRITING: Cell<bool> = const { Cell::new(false) };
}

impl Subscriber for Log {
    fn enabled(&self, about: &Metadata<'_>) -> bool {
        // The crates below log for their own developers.
        let ours = about.target().starts_with("ampwright");
        ours && about.is_event()
            && amount(*about.level()) as u8 <= self.0.amount.load(Ordering::Relaxed)
    }

    fn event(&self, event: &Event<'_>) {
        if WRITING.replace(true) {
            return;
        }
        let mut words = Words::default();
        event.record(&mut words);
        self.write(*event.metadata().level(), &words.0);
        WRITING.set(false);
    }

    fn new_span(&self, _: &span::Attributes<'_>) -> span::Id {
        span::Id::from_u64(1)
    }

    fn record(&self, _: &span::Id, _: &span::Record<'_>) {}
    fn record_follows_from(&self, _: &span::Id, _: &span::Id) {}
    fn enter(&self, _: &span::Id) {}
    fn exit(&self, _: &span::Id) {}
}

/// The message of an event.
#[derive(Default)]
struct Words(String);

impl Visit for Words {
    fn record_debug(&mut self, field: &Field, value: &dyn fmt::Debug) {
        if field.name() == "message" {
            // Writing to a string cannot fail.
            let _ = write!(self.0, "{value:?}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_settings_are_the_amounts_in_order() {
        let amounts: Vec<_> = Amount::WORDS
            .iter()
            .filter_map(|word| Amount::of(word))
            .collect();
        assert_eq!(amounts.len(), Amount::WORDS.len());
        assert!(amounts.is_sorted());
        assert_eq!(Amount::of("loud"), None);
    }

    #[test]
    fn events_reach_the_client_up_to_the_amount() {
        let (client, mut mail) = Client::open();
        let log = Log::default();
        log.send_to(&client);
        tracing::subscriber::with_default(log.clone(), || {
            tracing::error!("one");
            tracing::info!("hidden");
            log.set_amount(Amount::Info);
            tracing::info!("two {}", 2);
            tracing::info!(target: "other", "of another crate");
        });
        let sent: Vec<serde_json::Value> = std::iter::from_fn(|| mail.try_recv().ok())
            .map(|body| serde_json::from_slice(&body).expect("a message"))
            .collect();
        let lines: Vec<_> = sent
            .iter()
            .map(|message| {
                (
                    message["params"]["type"].clone(),
                    message["params"]["message"].clone(),
                )
            })
            .collect();
        assert_eq!(
            lines,
            [(1.into(), "one".into()), (3.into(), "two 2".into())]
        );
    }
}
