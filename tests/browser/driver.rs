//! Chromium through WebDriver.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::json;

/// A window size that pages are looked at in.
#[derive(Debug, Clone, Copy)]
pub struct Size(pub &'static str, pub u32, pub u32);

/// A phone, a tablet leaned on a gunwale, a context.
pub const SIZES: [Size; 3] = [Size("phone", 390, 844), Size("tablet", 820, 1180), Size("desk", 1440, 900)];

/// A browser with the driver it hangs on.
pub struct Chromium {
    _driver: Driver,
    _profile: tempfile::TempDir,
    /// What drives it.
    pub client: Client,
}

impl Chromium {
    /// Starts driver and browser.
    pub async fn start(Size(_, width, height): Size) -> Self {
        let port = TcpListener::bind("127.0.0.1:0")
            .and_then(|listener| listener.local_addr())
            .expect("a port")
            .port();
        let driver = Driver::start(port);
        let profile = tempfile::tempdir().expect("a folder");
        let arguments = [
            "--headless".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-quic".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            "--force-prefers-reduced-motion".to_owned(),
            format!("--window-size={width},{height}"),
            format!("--user-data-dir={}", profile.path().display()),
        ];
        let options = json!({"args": arguments, "binary": "/usr/bin/chromium"});
        // The shop's own authority is one that this browser was never told to trust.
        let capabilities =
            [("goog:chromeOptions".to_owned(), options), ("acceptInsecureCerts".to_owned(), json!(true))];
        let capabilities = capabilities.into_iter().collect();
        let address = format!("http://127.0.0.1:{port}");
        for _ in 0..100 {
            let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
            builder.capabilities(serde_json::Map::clone(&capabilities));
            if let Ok(client) = builder.connect(&address).await {
                return Self { _driver: driver, _profile: profile, client };
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("chromedriver does not answer");
    }

    /// Resizes the page itself, not only the window around it: a phone is narrower than a window may be.
    pub async fn resize(&self, Size(_, width, height): Size) {
        let metrics = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false});
        self.devtools("Emulation.setDeviceMetricsOverride", metrics).await;
    }

    /// Says something in the browser's own language.
    pub async fn devtools(&self, command: &str, parameters: serde_json::Value) -> serde_json::Value {
        self.client.issue_cmd(DevTools(command.to_owned(), parameters)).await.expect("the browser obeys")
    }

    /// Signs in through the page.
    pub async fn sign_in(&self, address: &str, (name, passphrase): (&str, &str)) {
        self.client.goto(&format!("{address}/sign-in")).await.expect("the sign-in page");
        self.fill("name", name).await;
        self.fill("passphrase", passphrase).await;
        self.press("Sign in").await;
        self.leave("/sign-in").await;
    }

    /// Opens a page, and waits for the server's own where the worker showed it as it was last seen.
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.unwrap_or_else(|error| panic!("{address}: {error}"));
        for _ in 0..300 {
            if self.ask("return !document.querySelector('.seen-mark')").await == json!(true) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{address} stays as it was seen");
    }

    /// Types into a field, in place of what stands there.
    pub async fn fill(&self, field: &str, text: &str) {
        let selector = format!("main [name='{field}']");
        let element =
            self.client.find(Locator::Css(&selector)).await.unwrap_or_else(|_| panic!("a field {field}"));
        match element.tag_name().await.expect("its tag").as_str() {
            "select" => {
                element.select_by_value(text).await.unwrap_or_else(|_| panic!("{field} offers {text}"))
            }
            _ => {
                element.clear().await.expect("it can be emptied");
                element.send_keys(text).await.expect("it takes keys");
            }
        }
    }

    /// Presses the button with these words.
    pub async fn press(&self, words: &str) {
        let path = format!("//main//button[not(@aria-hidden)][contains(normalize-space(.), \"{words}\")]");
        let button =
            self.client.find(Locator::XPath(&path)).await.unwrap_or_else(|_| panic!("a button {words}"));
        button.click().await.unwrap_or_else(|error| panic!("{words} can be pressed: {error}"));
    }

    /// Waits until the page with this in its address has been left for another.
    pub async fn leave(&self, part: &str) {
        for _ in 0..100 {
            let there = self.client.current_url().await.expect("an address");
            if !there.path().contains(part) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("the page stays: {}", self.words().await);
    }

    /// All the words on the page.
    pub async fn words(&self) -> String {
        self.client.find(Locator::Css("main")).await.expect("a page").text().await.expect("its text")
    }

    /// Runs a script on the page and takes what it returns.
    pub async fn ask(&self, script: &str) -> serde_json::Value {
        self.client.execute(script, vec![]).await.expect("the script runs")
    }

    /// Keeps a picture of the page for people.
    pub async fn picture(&self, name: &str) {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/screens");
        std::fs::create_dir_all(&folder).expect("a folder for pictures");
        let picture = self.client.screenshot().await.expect("a picture");
        std::fs::write(folder.join(format!("{name}.png")), picture).expect("it can be kept");
    }
}

/// The driver's process and its port; it takes the browser with it when it is asked to end.
struct Driver(Child, u16);

impl Driver {
    fn start(port: u16) -> Self {
        let mut command = Command::new("chromedriver");
        command.arg(format!("--port={port}")).stdout(Stdio::null()).stderr(Stdio::null());
        Self(command.spawn().expect("tests/run installs chromedriver"), port)
    }

    /// Asks it to close the browser: one that is killed leaves the browser running.
    fn close(&self) -> std::io::Result<()> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.1))?;
        stream.set_read_timeout(Some(Duration::from_secs(10)))?;
        stream.write_all(b"GET /shutdown HTTP/1.1\r\nhost: 127.0.0.1\r\nconnection: close\r\n\r\n")?;
        stream.read_to_end(&mut Vec::new()).map(drop)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.close();
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A command of the browser's own protocol, through the driver.
#[derive(Debug)]
struct DevTools(String, serde_json::Value);

impl fantoccini::wd::WebDriverCompatibleCommand for DevTools {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (axum::http::Method, Option<String>) {
        let body = json!({"cmd": self.0, "params": self.1});
        (axum::http::Method::POST, Some(body.to_string()))
    }
}
