//! An editor at the other end of the pipes, of the plainest kind: it writes JSON and reads JSON.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::collections::VecDeque;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// How long anything is waited for.
const PATIENCE: Duration = Duration::from_secs(60);

/// A server, and what was heard of it and not looked at yet.
pub struct Client {
    child: Child,
    to: Option<ChildStdin>,
    heard: Receiver<Value>,
    kept: VecDeque<Value>,
    asked: i64,
    /// What the server answered to `initialize`.
    pub agreed: Value,
}

impl Client {
    /// Starts a server and says nothing yet.
    pub fn silent() -> Client {
        Client::silent_with(&[])
    }

    /// The same with arguments.
    pub fn silent_with(arguments: &[&str]) -> Client {
        let mut child = Command::new(env!("CARGO_BIN_EXE_heatbook"))
            .arg("lsp")
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (tell, heard) = channel();
        let mut from = BufReader::new(child.stdout.take().unwrap());
        std::thread::spawn(move || {
            loop {
                let mut length = 0;
                loop {
                    let mut line = String::new();
                    if from.read_line(&mut line).unwrap_or(0) == 0 {
                        return;
                    }
                    match line.trim().split_once(':') {
                        Some(("Content-Length", value)) => {
                            length = value.trim().parse().unwrap();
                        }
                        Some(_) => {}
                        None => break,
                    }
                }
                let mut body = vec![0; length];
                from.read_exact(&mut body).unwrap();
                if tell.send(serde_json::from_slice(&body).unwrap()).is_err() {
                    return;
                }
            }
        });
        let to = child.stdin.take();
        Client { child, to, heard, kept: VecDeque::new(), asked: 0, agreed: Value::Null }
    }

    /// Starts a server and agrees with it on what a column counts.
    pub fn start(encodings: &[&str]) -> Client {
        let offered =
            if encodings.is_empty() { json!({}) } else { json!({ "positionEncodings": encodings }) };
        Client::agreeing(json!({ "rootUri": null, "capabilities": { "general": offered } }))
    }

    /// Starts a server and says to `initialize` what is asked for.
    pub fn agreeing(mut params: Value) -> Client {
        let mut client = Client::silent();
        params["processId"] = Value::Null;
        client.agreed = client.ask("initialize", params)["result"].clone();
        client.tell("initialized", json!({}));
        client
    }

    /// Sends bytes as they are.
    pub fn raw(&mut self, bytes: &[u8]) {
        let to = self.to.as_mut().unwrap();
        to.write_all(bytes).unwrap();
        to.flush().unwrap();
    }

    fn send(&mut self, message: &Value) {
        let body = message.to_string();
        self.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    /// Sends a notification.
    pub fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// Sends a request and waits for its answer.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        self.asked += 1;
        let id = self.asked;
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        self.wait(|m| m["id"] == json!(id) && m.get("method").is_none())
    }

    /// The first message that is as asked for.
    pub fn heard(&mut self, is: impl FnMut(&Value) -> bool) -> Value {
        self.wait(is)
    }

    fn wait(&mut self, mut is: impl FnMut(&Value) -> bool) -> Value {
        if let Some(at) = self.kept.iter().position(&mut is) {
            return self.kept.remove(at).unwrap();
        }
        let end = Instant::now() + PATIENCE;
        loop {
            let left = end.saturating_duration_since(Instant::now());
            match self.heard.recv_timeout(left) {
                Ok(message) if is(&message) => return message,
                Ok(message) => self.kept.push_back(message),
                Err(error) => panic!("the server says nothing more ({error}); kept: {:?}", self.kept),
            }
        }
    }

    /// Opens a document.
    pub fn open(&mut self, uri: &str, text: &str) {
        let document = json!({ "uri": uri, "languageId": "heatbook", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// Puts another text in the place of a document's.
    pub fn change(&mut self, uri: &str, version: i64, text: &str) {
        let document = json!({ "uri": uri, "version": version });
        let changes = json!([{ "text": text }]);
        self.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
    }

    /// The first findings that are told of a document at a version.
    pub fn findings(&mut self, uri: &str, version: i64) -> Vec<Value> {
        let told = self.wait(|m| {
            m["method"] == "textDocument/publishDiagnostics"
                && m["params"]["uri"] == uri
                && m["params"]["version"] == json!(version)
        });
        told["params"]["diagnostics"].as_array().unwrap().clone()
    }

    /// The last findings of a document, once nothing more has come for a while.
    pub fn last_findings(&mut self, uri: &str, version: i64) -> Vec<Value> {
        let mut last = self.findings(uri, version);
        loop {
            match self.heard.recv_timeout(Duration::from_millis(1500)) {
                Ok(m) if m["method"] == "textDocument/publishDiagnostics" && m["params"]["uri"] == uri => {
                    assert_eq!(
                        m["params"]["version"],
                        json!(version),
                        "an old text is told of after a new one"
                    );
                    last = m["params"]["diagnostics"].as_array().unwrap().clone();
                }
                Ok(m) => self.kept.push_back(m),
                Err(RecvTimeoutError::Timeout) => return last,
                Err(error) => panic!("{error}"),
            }
        }
    }

    /// Forgets what was kept.
    pub fn forget(&mut self) {
        self.kept.clear();
    }

    /// Closes the pipe, waits for the server's end, and gives its exit code and what it said of itself.
    pub fn end(mut self) -> (Option<i32>, String) {
        drop(self.to.take());
        let code = self.child.wait().unwrap().code();
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (code, said)
    }
}

/// The one document of a session.
pub const URI: &str = "untitled:recipe.heat";

/// An editor with one document open.
pub struct Session {
    pub client: Client,
    version: i64,
    pub text: String,
}

impl Session {
    pub fn new(text: &str) -> Session {
        Session::with(Client::start(&["utf-8"]), text)
    }

    /// A session with a server that is agreed with already.
    pub fn with(mut client: Client, text: &str) -> Session {
        client.open(URI, text);
        Session { client, version: 1, text: text.to_owned() }
    }

    pub fn change(&mut self, text: &str) -> Vec<Value> {
        self.version += 1;
        self.text = text.to_owned();
        self.client.change(URI, self.version, text);
        self.client.findings(URI, self.version)
    }

    /// The place so many bytes behind the start of some words.
    pub fn place(&self, words: &str, behind: usize) -> Value {
        let at = self.text.find(words).unwrap_or_else(|| panic!("no {words:?}")) + behind;
        let line = self.text[..at].matches('\n').count();
        let column = at - self.text[..at].rfind('\n').map_or(0, |i| i + 1);
        json!({ "line": line, "character": column })
    }

    pub fn ask(&mut self, what: &str, words: &str, behind: usize, more: Value) -> Value {
        let mut params = json!({ "textDocument": { "uri": URI }, "position": self.place(words, behind) });
        for (key, value) in more.as_object().unwrap() {
            params[key] = value.clone();
        }
        self.client.ask(&format!("textDocument/{what}"), params)
    }

    pub fn hover(&mut self, words: &str, behind: usize) -> String {
        let answer = self.ask("hover", words, behind, json!({}));
        answer["result"]["contents"]["value"].as_str().unwrap_or_default().to_owned()
    }

    pub fn offers(&mut self, words: &str) -> Vec<String> {
        let answer = self.ask("completion", words, words.len(), json!({}));
        let offers = answer["result"].as_array().cloned().unwrap_or_default();
        offers.iter().map(|o| o["label"].as_str().unwrap().to_owned()).collect()
    }

    /// The text with an edit of one document made.
    pub fn applied(&self, edit: &Value) -> String {
        let mut edits = edit["changes"][URI].as_array().unwrap().clone();
        edits.sort_by_key(|e| ["line", "character"].map(|key| e["range"]["start"][key].as_u64().unwrap()));
        let mut text = self.text.clone();
        for edit in edits.iter().rev() {
            let offset = |p: &Value| {
                let line = usize::try_from(p["line"].as_u64().unwrap()).unwrap();
                let start: usize = self.text.split_inclusive('\n').take(line).map(str::len).sum();
                start + usize::try_from(p["character"].as_u64().unwrap()).unwrap()
            };
            let (from, to) = (offset(&edit["range"]["start"]), offset(&edit["range"]["end"]));
            text.replace_range(from..to, edit["newText"].as_str().unwrap());
        }
        text
    }
}
