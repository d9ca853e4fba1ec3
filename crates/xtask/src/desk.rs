//! A desk started as a program of its own, and asked over its socket.

use crate::watched::{held, peak};
use anyhow::{Context as _, bail};
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A running desk; it is killed, as by a power cut, when dropped.
pub(crate) struct Desk {
    child: Child,
    asking: Asking,
}

/// How to ask a desk.
#[derive(Debug, Clone)]
pub(crate) struct Asking {
    /// Address and port.
    host: String,
    key: String,
}

/// Longest wait for an answer: a long reading on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

impl Desk {
    /// Starts a desk on a folder and comes in with the printed key.
    ///
    /// # Errors
    /// When it does not start or does not let in.
    pub(crate) fn start(program: &Path, folder: &Path) -> anyhow::Result<Self> {
        Self::from(
            Command::new(program)
                .args(["desk", "--no-open"])
                .arg(folder),
        )
    }

    /// The same from a command that ends in starting a desk.
    ///
    /// # Errors
    /// As [`Self::start`].
    pub(crate) fn from(command: &mut Command) -> anyhow::Result<Self> {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context("cannot start the desk")?;
        let out = child.stdout.take().context("the desk has no output")?;
        let mut lines = BufReader::new(out);
        let mut line = String::new();
        lines.read_line(&mut line)?;
        // It prints another address once somebody came in; let it.
        std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
        let (host, key) = line
            .trim()
            .strip_prefix("http://")
            .and_then(|rest| rest.split_once("/#key="))
            .with_context(|| format!("no address in {line:?}"))?;
        let printed = Asking {
            host: host.to_owned(),
            key: key.split('&').next().unwrap_or(key).to_owned(),
        };
        let (status, answer) = printed.ask("POST", "/api/enter", None)?;
        let Some(key) = answer["key"].as_str().filter(|_| status == 200) else {
            bail!("the desk does not let in: {status} {answer}");
        };
        Ok(Self {
            child,
            asking: Asking {
                key: key.to_owned(),
                ..printed
            },
        })
    }

    pub(crate) fn asking(&self) -> Asking {
        self.asking.clone()
    }

    /// Memory held now and at most so far, in MB, where the system reports it.
    pub(crate) fn memory(&self) -> Option<(f64, f64)> {
        held(&self.child).zip(peak(&self.child))
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // One that has ended already needs no killing.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Asking {
    /// One call: the status and the JSON of the answer (null where it is none).
    ///
    /// # Errors
    /// When nobody answers.
    pub(crate) fn ask(
        &self,
        method: &str,
        path: &str,
        body: Option<&Value>,
    ) -> anyhow::Result<(u16, Value)> {
        let mut stream = TcpStream::connect(&self.host)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        let body = body.map(Value::to_string).unwrap_or_default();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nAuthorization: Bearer {}\r\nContent-Type: application/json\r\n\
Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
            self.host,
            self.key,
            body.len()
        )?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer)?;
        let end = answer
            .windows(4)
            .position(|four| four == b"\r\n\r\n")
            .context("the answer broke off")?;
        let head = String::from_utf8_lossy(&answer[..end]);
        let status = head.split(' ').nth(1).and_then(|word| word.parse().ok());
        let json = serde_json::from_slice(&answer[end + 4..]).unwrap_or(Value::Null);
        Ok((status.context("the answer has no status")?, json))
    }
}
