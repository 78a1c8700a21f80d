//! The planning page asked over a bare socket, as no browser would.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use assert_cmd::cargo::cargo_bin;

use crate::folder::Folder;

/// A page that is served; it ends with this.
pub struct Page {
    pub child: Child,
    pub port: u16,
    pub key: String,
    pub cookie: String,
}

/// What was answered.
#[derive(Debug)]
pub struct Answered {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Page {
    pub fn open(folder: &Folder, what: &str) -> Self {
        let mut child = Command::new(cargo_bin("landplaster"))
            .current_dir(folder.path())
            .args(["page", "--no-browser", what])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.split("http://127.0.0.1:").nth(1).expect("an address");
        let (port, key) = address.trim().split_once("/?key=").unwrap();
        let mut page =
            Self { child, port: port.parse().unwrap(), key: key.to_owned(), cookie: String::new() };
        let opened = page.raw("GET", &format!("/?key={key}"), &[&page.host()], b"");
        assert_eq!(opened.status, 303, "{opened:?}");
        let set = opened.head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
        assert!(set.ends_with("; Path=/; HttpOnly; SameSite=Strict"), "{set}");
        page.cookie = format!("cookie: {}", set.split(';').next().unwrap());
        page
    }

    pub fn host(&self) -> String {
        format!("host: 127.0.0.1:{}", self.port)
    }

    pub fn origin(&self) -> String {
        format!("origin: http://127.0.0.1:{}", self.port)
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream
    }

    /// A request with these headers and no others. Whatever came before the other side closed is given;
    /// status 0 is none.
    pub fn raw(&self, method: &str, path: &str, headers: &[&str], body: &[u8]) -> Answered {
        let mut stream = self.connect();
        let length = format!("content-length: {}", body.len());
        let first = format!("{method} {path} HTTP/1.1\r\nconnection: close");
        let lines = [&[first.as_str()], headers, &[&length, "\r\n"]].concat();
        let head = lines.join("\r\n");
        let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body));
        answer(&mut stream)
    }

    /// A request as the page makes it.
    pub fn ask(&self, method: &str, path: &str, body: &[u8]) -> Answered {
        self.raw(method, path, &[&self.host(), &self.origin(), &self.cookie], body)
    }

    pub fn post(&self, path: &str, body: &str) -> serde_json::Value {
        let answered = self.ask("POST", path, body.as_bytes());
        assert_eq!(answered.status, 200, "{answered:?}");
        serde_json::from_str(&answered.body).unwrap()
    }

    /// What an error says, of an answer that is one.
    pub fn error(&self, path: &str, body: &str) -> String {
        self.post(path, body)["error"].as_str().unwrap_or_default().to_owned()
    }

    pub fn is_alive(&self) -> bool {
        TcpStream::connect(("127.0.0.1", self.port)).is_ok()
            && self.ask("POST", "/api/alive", b"").status == 200
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Reads all that comes.
pub fn answer(stream: &mut TcpStream) -> Answered {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes);
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
    Answered { status, head: head.to_owned(), body: body.to_owned() }
}
