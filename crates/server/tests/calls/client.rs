//! A server of its own for each test, and a plain client of HTTP/1.1.

use std::io::{BufRead as _, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use server::{Server, ServerSettings};
use store::{Location, Store};
use tokio::sync::oneshot;

static NUMBER: AtomicUsize = AtomicUsize::new(0);

/// A running server.
pub struct Shop {
    pub address: SocketAddr,
    pub folder: PathBuf,
    end: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

/// What was answered.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|l| l.split_once(": "));
        lines.filter(|(n, _)| n.eq_ignore_ascii_case(name)).map(|(_, v)| v).next()
    }
}

impl Shop {
    pub fn open() -> Shop {
        Shop::open_with(ServerSettings { address: "127.0.0.1:0".parse().unwrap(), ..ServerSettings::default() })
    }

    pub fn open_with(settings: ServerSettings) -> Shop {
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        let folder = std::env::temp_dir().join(format!("tubewright-server-{}-{number}", std::process::id()));
        Shop::open_at(folder, settings)
    }

    pub fn open_at(folder: PathBuf, settings: ServerSettings) -> Shop {
        let file = folder.join("shop.sqlite");
        let (end, ended) = oneshot::channel();
        let (tell, told) = channel();
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
            runtime.block_on(async {
                let store = Store::open(&Location::File(file)).await.unwrap();
                let server = Server::bind(store, settings).await.unwrap();
                tell.send(server.address()).unwrap();
                server.run(async { drop(ended.await) }).await;
            });
        });
        Shop { address: told.recv().unwrap(), folder, end: Some(end), thread: Some(thread) }
    }

    /// Sends a request as it stands and reads the answer to its end.
    pub fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(self.address).unwrap();
        // A server that refuses a long body need not read it to its end.
        let _ = stream.write_all(request);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        parse(&bytes)
    }

    pub fn send(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n", body.len());
        if !headers.iter().any(|h| h.0.eq_ignore_ascii_case("host")) {
            head.push_str(&format!("Host: {}\r\n", self.address));
        }
        headers.iter().for_each(|(name, value)| head.push_str(&format!("{name}: {value}\r\n")));
        self.raw(&[head.as_bytes(), b"\r\n", body].concat())
    }

    pub fn get(&self, path: &str) -> Answer {
        self.send("GET", path, &[], b"")
    }

    pub fn call(&self, method: &str, path: &str, body: &Value) -> Answer {
        self.send(method, path, &[("Content-Type", "application/json")], body.to_string().as_bytes())
    }

    /// A call that must be answered so.
    pub fn done(&self, method: &str, path: &str, body: &Value, status: u16) -> Value {
        let answer = self.call(method, path, body);
        assert_eq!(answer.status, status, "{method} {path}: {}", String::from_utf8_lossy(&answer.body));
        answer.json()
    }

    /// A refusal: its code, with the whole error.
    pub fn refused(&self, method: &str, path: &str, body: &Value, status: u16) -> Value {
        let error = self.done(method, path, body, status)["error"].clone();
        assert!(error["code"].is_string() && error["message"].as_str().is_some_and(|m| !m.is_empty()), "{error}");
        error
    }

    /// A job from a text.
    pub fn job(&self, toml: &str) -> Value {
        self.done("POST", "/api/jobs", &json!({"toml": toml}), 201)
    }

    /// Ends the server and leaves its folder.
    pub fn end(mut self) -> PathBuf {
        self.stop();
        std::mem::take(&mut self.folder)
    }

    fn stop(&mut self) {
        drop(self.end.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Drop for Shop {
    fn drop(&mut self) {
        self.stop();
        if !self.folder.as_os_str().is_empty() {
            let _ = std::fs::remove_dir_all(&self.folder);
        }
    }
}

fn parse(bytes: &[u8]) -> Answer {
    let Some(split) = bytes.windows(4).position(|w| w == b"\r\n\r\n") else {
        return Answer { status: 0, head: String::from_utf8_lossy(bytes).into_owned(), body: Vec::new() };
    };
    let head = String::from_utf8_lossy(&bytes[..split]).into_owned();
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
    let mut body = bytes[split + 4..].to_vec();
    if head.to_ascii_lowercase().contains("transfer-encoding: chunked") {
        body = unchunked(&body);
    }
    Answer { status, head, body }
}

fn unchunked(mut bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = bytes.windows(2).position(|w| w == b"\r\n") {
        let length = usize::from_str_radix(String::from_utf8_lossy(&bytes[..end]).trim(), 16).unwrap_or(0);
        let from = end + 2;
        if length == 0 || from + length > bytes.len() {
            break;
        }
        out.extend(&bytes[from..from + length]);
        bytes = &bytes[(from + length + 2).min(bytes.len())..];
    }
    out
}

/// A small job that can be routed and cut in a moment: one cylinder, one collector with one inlet.
pub const SMALL: &str = r#"# one tube
format = 1
name = "one tube"
units = "mm"

[tube]
od = 44.45 # measured
wall = 1.65
material = "304"

[length]
tolerance = 5.0

[clearance]
tubes = 5.0
keepouts = 8.0

[[port]]
cylinder = 1
at = [0.0, 0.0, 0.0]
axis = [0.0, 1.0, 0.0]
stub = 30.0

[[collector]]
name = "main"
at = [-420.0, 260.0, -330.0]
axis = [-1.0, 0.0, 0.0]
up = [0.0, 0.0, 1.0]
inlets = 1
stub = 40.0
body = { made = "plate" }

[[keepout]]
name = "shaft"
shape = "cylinder"
from = [-500.0, 500.0, 0.0]
to = [350.0, 500.0, 20.0]
radius = 11.0

[[stock.bend]]
clr = 76.2
angle = 180.0
legs = [101.6, 101.6]
price = 24.0

[[stock.straight]]
length = 1000.0
price = 18.0

[saw]
kerf = 1.6
min_straight = 12.0
min_arc = 5.0

[cost]
joint = 14.0
cut = 2.5
"#;

impl Shop {
    /// The small job, routed and cut.
    pub fn small(&self) -> Value {
        let job = self.job(SMALL);
        let path = format!("/api/jobs/{}", job["id"].as_str().unwrap());
        let request = json!({"version": job["version"], "effort": 0});
        let answer = self.call("POST", &format!("{path}/searches"), &request);
        assert_eq!(answer.status, 200, "{answer:?}");
        let job = self.get(&path).json();
        assert_eq!(job["routes"]["met"], true, "{}", job["routes"]["unmet"]);
        self.cut(&job)
    }

    /// The job, cut.
    pub fn cut(&self, job: &Value) -> Value {
        let answer = self.call("POST", &format!("{}/cut", path(job)), &json!({"version": job["version"]}));
        let (name, told) = events(&answer.body).pop().unwrap();
        assert_eq!((answer.status, &*name), (200, "done"), "{told}");
        told["job"].clone()
    }
}

/// The path of a job's calls.
pub fn path(job: &Value) -> String {
    format!("/api/jobs/{}", job["id"].as_str().unwrap())
}

/// The events of a stream: name and data.
pub fn events(body: &[u8]) -> Vec<(String, Value)> {
    let text = String::from_utf8_lossy(body);
    text.split("\n\n").filter_map(event).collect()
}

fn event(block: &str) -> Option<(String, Value)> {
    let field = |name: &str| block.lines().find_map(|l| l.strip_prefix(name)).map(str::trim);
    Some((field("event:")?.to_string(), serde_json::from_str(field("data:")?).ok()?))
}

/// A stream that is read as it comes.
pub struct Heard {
    reader: BufReader<TcpStream>,
}

impl Heard {
    /// Begins a call whose answer is a stream.
    pub fn begin(shop: &Shop, call: &str, request: &Value) -> Heard {
        let mut stream = TcpStream::connect(shop.address).unwrap();
        let body = request.to_string();
        write!(
            stream,
            "POST {call} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            shop.address,
            body.len()
        )
        .unwrap();
        Heard { reader: BufReader::new(stream) }
    }

    /// Whether the call is answered with a stream at all.
    pub fn is_begun(&mut self) -> bool {
        let mut line = String::new();
        self.reader.read_line(&mut line).unwrap();
        line.starts_with("HTTP/1.1 200")
    }

    /// The next event of that name.
    pub fn next(&mut self, wanted: &str) -> Value {
        let mut block = String::new();
        loop {
            let mut line = String::new();
            assert!(self.reader.read_line(&mut line).unwrap() > 0, "the stream ended before `{wanted}`: {block}");
            if line.trim().is_empty() {
                if let Some((name, data)) = event(&block)
                    && name == wanted
                {
                    return data;
                }
                block.clear();
            } else {
                block.push_str(&line);
            }
        }
    }
}

/// Waits until it holds.
pub fn wait(what: &str, holds: impl Fn() -> bool) {
    let begun = Instant::now();
    while !holds() {
        assert!(begun.elapsed() < Duration::from_secs(60), "{what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}
