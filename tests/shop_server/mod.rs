//! A server of our own, started as people start it, and a client that talks to it.

#![allow(dead_code, reason = "each program that uses this takes only part of it")]

use std::io::{BufRead, BufReader, Read, Seek};
use std::net::IpAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use http_body_util::{BodyExt, Full};
use hyper_util::client::legacy::Client as HyperClient;
use hyper_util::client::legacy::connect::HttpConnector;
use hyper_util::rt::TokioExecutor;
use uuid::Uuid;

/// The built program, serving a data folder on a free port of this machine.
pub struct ShopServer {
    child: Child,
    /// Where it answers: `http://127.0.0.1:PORT`, or with `https`.
    pub address: String,
}

impl ShopServer {
    /// Starts the program and waits until it says where it answers.
    pub fn start(data: &Path) -> Self {
        Self::run(Command::new(env!("CARGO_BIN_EXE_driploop")), data)
    }

    /// Starts it with a clock that is off by so much: `-3h`.
    pub fn start_with_clock(data: &Path, off: &str) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_driploop"));
        // The library without its wrapper, so that what is killed is the program itself;
        // the loader fills in where this kind of machine keeps its libraries.
        command.env("LD_PRELOAD", "/usr/$LIB/faketime/libfaketimeMT.so.1").env("FAKETIME", off);
        Self::run(command, data)
    }

    /// Starts it with HTTPS of its own.
    pub fn start_with_tls(data: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_driploop"));
        command.env("DRIPLOOP_TLS", "true");
        Self::run(command, data)
    }

    fn run(mut command: Command, data: &Path) -> Self {
        let mut said = tempfile::tempfile().expect("a file for what it says");
        let mut child = command
            .args(["serve", "--listen", "127.0.0.1:0", "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(said.try_clone().expect("a second handle of it"))
            .spawn()
            .expect("the built program starts");
        let mut lines =
            BufReader::new(child.stdout.take().expect("its output is piped")).lines().map_while(Result::ok);
        let Some(line) = lines.find(|line| line.contains("://")) else {
            let mut why = String::new();
            said.rewind().and_then(|()| said.read_to_string(&mut why)).expect("what it said can be read");
            panic!("it ended without an address to open: {:?}; it said: {why}", child.wait());
        };
        let address = line.split(' ').find(|word| word.contains("://")).unwrap_or_default().to_owned();
        // What it prints later is read too, or it would find nobody listening.
        std::thread::spawn(move || lines.for_each(drop));
        Self { child, address }
    }

    /// Ends it at once, as a power cut does.
    pub fn kill(mut self) {
        self.child.kill().expect("SIGKILL is sent");
        self.child.wait().expect("it ends");
        self.forget_clock();
    }

    /// Asks it to stop, as the system does, and waits. Returns its exit code and how long it took.
    pub fn stop(mut self) -> (Option<i32>, Duration) {
        let begun = Instant::now();
        let asked = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status();
        assert!(asked.is_ok_and(|status| status.success()), "SIGTERM is sent");
        while begun.elapsed() < Duration::from_secs(120) {
            if let Some(status) = self.child.try_wait().expect("its state is known") {
                self.forget_clock();
                return (status.code(), begun.elapsed());
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("it does not end");
    }

    /// A clock of its own is kept in shared memory by the number of the process, and whoever is
    /// killed leaves it there: the next process of that number would refuse to start.
    fn forget_clock(&self) {
        for kind in ["sem.faketime_sem", "faketime_shm"] {
            let _ = std::fs::remove_file(format!("/dev/shm/{kind}_{}", self.child.id()));
        }
    }

    /// Its id among the processes.
    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// The most memory it has held since its start, in MiB, as the system counts it.
    pub fn peak_mib(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let status = status.expect("the system says how much memory it takes");
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = peak.and_then(|peak| peak.split_whitespace().next()?.parse::<u64>().ok());
        kib.expect("a peak in KiB") / 1024
    }
}

impl Drop for ShopServer {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        self.forget_clock();
    }
}

/// One person's browser: it keeps the cookie it was given and follows nothing.
#[derive(Clone)]
pub struct Browser {
    client: HyperClient<HttpConnector, Full<axum::body::Bytes>>,
    cookie: String,
}

impl Browser {
    /// A browser that nobody has signed in with.
    pub fn stranger() -> Self {
        Self { client: HyperClient::builder(TokioExecutor::new()).build_http(), cookie: String::new() }
    }

    /// The same at another address of this machine, such as 127.0.0.2.
    pub fn stranger_at(from: IpAddr) -> Self {
        let mut connector = HttpConnector::new();
        connector.set_local_address(Some(from));
        let client = HyperClient::builder(TokioExecutor::new()).build(connector);
        Self { client, cookie: String::new() }
    }

    /// Signs in and keeps the cookie.
    pub async fn sign_in(address: &str, name: &str, passphrase: &str) -> Self {
        Self::stranger().signed_in(address, name, passphrase).await
    }

    /// This browser after it signed in.
    pub async fn signed_in(self, address: &str, name: &str, passphrase: &str) -> Self {
        let signed_out = self;
        let fields = [("name", name), ("passphrase", passphrase), ("next", "/")];
        let answer = signed_out.post(address, "/sign-in", &fields).await.expect("the sign-in is answered");
        assert_eq!(answer.status(), 303, "the sign-in of {name} is accepted");
        let cookie = answer.headers()["set-cookie"].to_str().expect("a plain cookie");
        let cookie = cookie.split(';').next().expect("name and value").to_owned();
        Self { cookie, ..signed_out }
    }

    /// Sends a form; `None` where no whole answer came.
    pub async fn post(
        &self,
        address: &str,
        path: &str,
        fields: &[(&str, &str)],
    ) -> Option<axum::http::Response<axum::body::Bytes>> {
        let body = serde_urlencoded::to_string(fields).expect("fields are plain");
        let request = axum::http::Request::post(format!("{address}{path}"))
            .header("content-type", "application/x-www-form-urlencoded")
            .header("cookie", &self.cookie)
            .body(Full::from(body))
            .expect("a sound request");
        self.send(request).await
    }

    /// Sends a form with a file; `None` where no whole answer came.
    pub async fn post_file(
        &self,
        address: &str,
        path: &str,
        fields: &[(&str, &str)],
        (name, file): (&str, &[u8]),
    ) -> Option<axum::http::Response<axum::body::Bytes>> {
        const EDGE: &str = "edge-of-a-part";
        let mut body = Vec::new();
        for (field, value) in fields {
            body.extend(part(EDGE, field, "").bytes().chain(value.bytes()).chain(*b"\r\n"));
        }
        body.extend(part(EDGE, name, "; filename=\"file\"").bytes().chain(file.iter().copied()));
        body.extend(format!("\r\n--{EDGE}--\r\n").bytes());
        let request = axum::http::Request::post(format!("{address}{path}"))
            .header("content-type", format!("multipart/form-data; boundary={EDGE}"))
            .header("cookie", &self.cookie)
            .body(Full::from(body))
            .expect("a sound request");
        self.send(request).await
    }

    /// Asks for a page; `None` where no whole answer came.
    pub async fn get(&self, address: &str, path: &str) -> Option<axum::http::Response<axum::body::Bytes>> {
        let request = axum::http::Request::get(format!("{address}{path}"))
            .header("cookie", &self.cookie)
            .body(Full::default())
            .expect("a sound request");
        self.send(request).await
    }

    /// Sends one tick and says whether the program acknowledged it.
    pub async fn tick(&self, address: &str, job: i64, step: &str, mark: &str, id: Uuid) -> bool {
        let (id, path) = (id.to_string(), format!("/jobs/{job}/ticks"));
        let fields = [("event", id.as_str()), ("step", step), ("mark", mark), ("back", "/")];
        self.post(address, &path, &fields).await.is_some_and(|answer| answer.status() == 303)
    }

    async fn send(
        &self,
        request: axum::http::Request<Full<axum::body::Bytes>>,
    ) -> Option<axum::http::Response<axum::body::Bytes>> {
        let (head, body) = self.client.request(request).await.ok()?.into_parts();
        let body = body.collect().await.ok()?.to_bytes();
        Some(axum::http::Response::from_parts(head, body))
    }
}

/// The head of one part of a form with a file.
fn part(edge: &str, name: &str, more: &str) -> String {
    format!("--{edge}\r\ncontent-disposition: form-data; name=\"{name}\"{more}\r\n\r\n")
}

/// The demo shop's manager: name and passphrase.
pub const DEMO_OWNER: (&str, &str) = ("Ines Tarrowby", "copper before chrome");

/// The demo boat with the least on it.
pub const QUIET_JOB: i64 = 3;
