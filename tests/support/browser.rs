//! A real browser without a window, driven by the W3C WebDriver protocol.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

/// What must be on the machine, and how it gets there.
const NEEDED: &str = "the tests of report.html need Chromium and its driver: run `sh .ci/needs \
                      tests`, or install both by hand (Debian: chromium and chromium-driver)";

/// Names of the browser on the search path.
const BROWSERS: &[&str] = &["chromium", "chromium-browser", "google-chrome", "chrome"];

/// No network of its own, no first-run pages, nothing from an earlier run. The sandbox does not
/// work for root, which tests in containers run as; the pages are our own.
const FLAGS: &[&str] = &[
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--window-size=1280,1000",
];

/// A browser with one page. It ends with this value.
pub(crate) struct Browser {
    driver: Child,
    session: String,
    agent: ureq::Agent,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Starts a browser and opens a file in it.
    pub(crate) fn open(page: &Path) -> Self {
        let browser = BROWSERS.iter().find_map(|name| on_search_path(name));
        let browser = browser.unwrap_or_else(|| panic!("{NEEDED}"));
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|e| panic!("{NEEDED} ({e})"));
        let port = port(&mut driver);
        let profile = tempfile::tempdir().expect("a temporary folder");
        let agent = ureq::Agent::config_builder()
            .timeout_global(Some(Duration::from_mins(2)))
            .http_status_as_error(false)
            .build()
            .into();
        let profile_flag = format!("--user-data-dir={}", profile.path().display());
        let flags: Vec<&str> = FLAGS.iter().copied().chain([profile_flag.as_str()]).collect();
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" },
            "goog:chromeOptions": { "binary": browser, "args": flags },
        } } });
        let mut opened = Self {
            driver,
            session: format!("http://127.0.0.1:{port}/session"),
            agent,
            _profile: profile,
        };
        let started = opened.post("", &wanted);
        let id = started["sessionId"].as_str().expect("a session").to_owned();
        opened.session = format!("{}/{id}", opened.session);
        // A browser opens with a page of its own, which is none of ours.
        opened.post("/url", &json!({ "url": "about:blank" }));
        opened.log("browser");
        opened.log("performance");
        opened.go(page);
        opened
    }

    /// Opens another file, or the same one again.
    pub(crate) fn go(&self, page: &Path) {
        self.post("/url", &json!({ "url": address(page) }));
    }

    /// Runs a function body in the page and gives what it returns.
    #[track_caller]
    pub(crate) fn run(&self, script: &str) -> Value {
        self.post("/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// The same with a promise that is waited for: the body calls `done(value)`.
    #[track_caller]
    pub(crate) fn wait(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1];\n{script}");
        self.post("/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// Lets the page draw what it has been asked to.
    pub(crate) fn settle(&self) {
        self.wait("requestAnimationFrame(() => requestAnimationFrame(() => done(1)));");
    }

    /// Clicks the first element of a CSS selector as a person would: it must be in sight.
    #[track_caller]
    pub(crate) fn click(&self, selector: &str) {
        let found = self.post("/element", &json!({ "using": "css selector", "value": selector }));
        let id = found.as_object().and_then(|o| o.values().next()).and_then(Value::as_str);
        let id = id.unwrap_or_else(|| panic!("no {selector}: {found}"));
        self.post(&format!("/element/{id}/click"), &json!({}));
        self.settle();
    }

    /// Moves the mouse to a place of the window, in pixels.
    pub(crate) fn point(&self, x: f64, y: f64) {
        self.pointer(&[json!({ "type": "pointerMove", "duration": 0, "x": x, "y": y })]);
    }

    /// Drags the mouse from one place of the window to another.
    pub(crate) fn drag(&self, from: (f64, f64), to: (f64, f64)) {
        let at =
            |p: (f64, f64)| json!({ "type": "pointerMove", "duration": 20, "x": p.0, "y": p.1 });
        let (down, up) = (
            json!({ "type": "pointerDown", "button": 0 }),
            json!({ "type": "pointerUp", "button": 0 }),
        );
        self.pointer(&[at(from), down, at(to), up]);
    }

    /// Turns the wheel at a place of the window; negative is away from the user.
    pub(crate) fn wheel(&self, x: f64, y: f64, turn: i32) {
        let scroll = json!({ "type": "scroll", "duration": 0, "origin": "viewport",
            "x": whole(x), "y": whole(y), "deltaX": 0, "deltaY": turn });
        let wheel = json!({ "type": "wheel", "id": "wheel", "actions": [scroll] });
        self.post("/actions", &json!({ "actions": [wheel] }));
        self.settle();
    }

    fn pointer(&self, actions: &[Value]) {
        let mouse = json!({ "type": "pointer", "id": "mouse", "actions": actions });
        self.post("/actions", &json!({ "actions": [mouse] }));
        self.settle();
    }

    /// Presses and releases one key after another, wherever the focus is.
    pub(crate) fn press(&self, keys: &str) {
        let actions: Vec<Value> = keys
            .chars()
            .flat_map(|key| ["keyDown", "keyUp"].map(|t| json!({ "type": t, "value": key })))
            .collect();
        let keyboard = json!({ "type": "key", "id": "keyboard", "actions": actions });
        self.post("/actions", &json!({ "actions": [keyboard] }));
        self.settle();
    }

    /// A command of the browser's own protocol.
    #[track_caller]
    pub(crate) fn command(&self, command: &str, parameters: &Value) -> Value {
        self.post("/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))
    }

    /// What stands in a log since it was last read: `browser` or `performance`.
    pub(crate) fn log(&self, kind: &str) -> Vec<Value> {
        let log = self.post("/se/log", &json!({ "type": kind }));
        log.as_array().expect("entries").clone()
    }

    /// The addresses of all requests since they were last asked for.
    pub(crate) fn requests(&self) -> Vec<String> {
        let of = |entry: &Value| {
            let told: Value = serde_json::from_str(entry["message"].as_str()?).ok()?;
            let message = &told["message"];
            let sent = message["method"] == "Network.requestWillBeSent";
            sent.then(|| message["params"]["request"]["url"].as_str().map(str::to_owned))?
        };
        self.log("performance").iter().filter_map(of).collect()
    }

    #[track_caller]
    fn post(&self, path: &str, body: &Value) -> Value {
        let address = format!("{}{path}", self.session);
        let mut response = self.agent.post(&address).send_json(body).expect("the driver answers");
        let answer: Value = response.body_mut().read_json().expect("JSON");
        assert!(response.status().is_success(), "{path}: {answer}");
        answer["value"].clone()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// A whole pixel: the wheel takes no other.
#[expect(clippy::cast_possible_truncation, reason = "a window has few pixels")]
fn whole(pixel: f64) -> i32 {
    pixel.round() as i32
}

/// A file's address.
pub(crate) fn address(page: &Path) -> String {
    format!("file://{}", page.display())
}

fn on_search_path(name: &str) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders).map(|f| f.join(name)).find(|p| p.is_file())
}

/// The port the driver has chosen: it says so when it is ready.
fn port(driver: &mut Child) -> u16 {
    let said = driver.stdout.take().expect("its output is piped");
    BufReader::new(said)
        .lines()
        .map_while(Result::ok)
        .find_map(|line| {
            let (_, rest) = line.split_once("started successfully on port ")?;
            rest.trim().trim_end_matches('.').parse().ok()
        })
        .unwrap_or_else(|| panic!("chromedriver does not start; {NEEDED}"))
}
