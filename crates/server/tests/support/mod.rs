//! A small desk behind the transport, the same behind tower-lsp alone, and a strict client to both.
#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

pub(crate) mod client;
pub(crate) mod hardened;
pub(crate) mod plain;
pub(crate) mod writing;

use std::{
    io::{self, Read, Write},
    sync::{Arc, Condvar, Mutex, PoisonError},
    time::Duration,
};

use tokio::{
    io::{AsyncReadExt, AsyncWriteExt, DuplexStream, ReadHalf, WriteHalf, duplex, split},
    runtime::{Builder, Handle, Runtime},
    task::JoinHandle,
};

use client::{Client, Said};

/// Which server is talked to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Behind the transport.
    Hardened,
    /// On tower-lsp alone.
    Plain,
}

/// A running server and the client that talks to it.
pub(crate) struct Talk {
    pub(crate) client: Client,
    served: Option<JoinHandle<u8>>,
    runtime: Option<Runtime>,
}

/// What the plain server is given: it hangs where it is caught, and that takes its time to show.
const PLAIN_LIMIT: Duration = Duration::from_secs(3);

impl Talk {
    /// Starts one of the two.
    pub(crate) fn start(kind: Kind) -> Self {
        match kind {
            Kind::Hardened => Self::over(hardened::serve),
            Kind::Plain => {
                let mut talk = Self::over(plain::serve);
                talk.client.limit = PLAIN_LIMIT;
                talk
            }
        }
    }

    /// Starts a server that serves two streams and ends with an exit code.
    pub(crate) fn over<F: Future<Output = u8> + Send + 'static>(
        serve: impl FnOnce(ReadHalf<DuplexStream>, WriteHalf<DuplexStream>) -> F,
    ) -> Self {
        let runtime = Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .expect("a runtime");
        let (near, far) = duplex(64 << 10);
        let (input, output) = split(far);
        let served = runtime.spawn(serve(input, output));
        let (reader, writer) = split(near);
        let handle = runtime.handle().clone();
        let client = Client::over(Reading(handle.clone(), reader), Writing(handle, writer));
        Self {
            client,
            served: Some(served),
            runtime: Some(runtime),
        }
    }

    /// Whether the end of serving was not waited for yet.
    pub(crate) fn is_open(&self) -> bool {
        self.served.is_some()
    }

    /// Waits until serving ends; its exit code.
    pub(crate) fn code(&mut self) -> Said<u8> {
        let limit = self.client.limit;
        let (Some(served), Some(runtime)) = (self.served.take(), &self.runtime) else {
            return Err("asked twice".into());
        };
        let waited = runtime.block_on(async { tokio::time::timeout(limit, served).await });
        let ended = waited.map_err(|_| "serving does not end".to_owned())?;
        let code = ended.map_err(|error| error.to_string())?;
        if code != 0 {
            self.client.forgive();
        }
        Ok(code)
    }
}

impl Drop for Talk {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_background();
        }
    }
}

struct Reading(Handle, ReadHalf<DuplexStream>);
struct Writing(Handle, WriteHalf<DuplexStream>);

impl Read for Reading {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        self.0.block_on(self.1.read(bytes))
    }
}

impl Write for Writing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // A server that does not read must not hang the test that shows it.
        let limit = Duration::from_secs(20);
        self.0
            .block_on(async { tokio::time::timeout(limit, self.1.write(bytes)).await })?
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Drop for Writing {
    fn drop(&mut self) {
        // A pair of pipes as one duplex: closing one half is a shutdown of it.
        let _ = self.0.block_on(self.1.shutdown());
    }
}

/// A gate that handlers wait at, blocking their thread.
#[derive(Clone, Debug, Default)]
pub(crate) struct Gate(Arc<(Mutex<bool>, Condvar)>);

impl Gate {
    pub(crate) fn open(&self) {
        *self.0.0.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.0.1.notify_all();
    }

    pub(crate) fn wait(&self) {
        let shut = self.0.0.lock().unwrap_or_else(PoisonError::into_inner);
        drop(
            self.0
                .1
                .wait_timeout_while(shut, Duration::from_mins(1), |open| !*open),
        );
    }
}
