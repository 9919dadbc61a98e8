//! A page that is served to browsers on this machine, and to nobody else: it can be looked at, and nothing can be written through it.

use std::io::{ErrorKind, Read as _, Write as _};
use std::net::{Ipv4Addr, Shutdown, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use httparse::{EMPTY_HEADER, Request, Status};

use crate::report::{LIVE_NOW, LIVE_SCRIPT, LIVE_SCRIPT_AT};

/// The ports that are tried one by one, so that a tab that was open finds the page again; where all are taken, any other (project
/// figures).
const PORTS: std::ops::Range<u16> = 8460..8470;
/// What a request may come to, and how long one may take (project figures): those of browsers are far below.
const MOST_BYTES: usize = 16 * 1024;
const MOST_HEADERS: usize = 64;
const PATIENCE: Duration = Duration::from_secs(5);
/// Requests that are answered at a time; a browser asks for few (project figure).
const AT_ONCE: usize = 32;

/// What is shown where, and by which save.
struct Shown {
    save: u64,
    html: String,
}

impl Shown {
    /// Tells one save from all others, those of another run too.
    fn mark(&self) -> String {
        format!("{}-{}", std::process::id(), self.save)
    }
}

/// A page that is being served.
pub struct Live {
    shown: Arc<Mutex<Shown>>,
    port: u16,
}

impl Live {
    /// Begins to serve.
    ///
    /// # Errors
    /// Why no port can be had.
    pub fn begin() -> Result<Live, String> {
        let bind = |port: u16| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
        let listener = match PORTS.map(bind).find_map(Result::ok) {
            Some(listener) => Ok(listener),
            None => bind(0),
        };
        let had = listener.and_then(|listener| Ok((listener.local_addr()?.port(), listener)));
        let (port, listener) = had.map_err(|error| format!("no port can be had for the page: {error}"))?;
        let shown = Arc::new(Mutex::new(Shown { save: 0, html: String::new() }));
        let held = Arc::clone(&shown);
        std::thread::spawn(move || serve(&listener, port, &held));
        Ok(Live { shown, port })
    }

    /// Where it is.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.port)
    }

    /// Shows another page, made for the mark of its save.
    pub fn show(&self, made: impl FnOnce(&str) -> String) {
        let next = Shown { save: self.held().save + 1, html: String::new() };
        let html = made(&next.mark());
        *self.held() = Shown { html, ..next };
    }

    fn held(&self) -> std::sync::MutexGuard<'_, Shown> {
        self.shown.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn serve(listener: &TcpListener, port: u16, shown: &Arc<Mutex<Shown>>) {
    let busy = Arc::new(AtomicUsize::new(0));
    for stream in listener.incoming().filter_map(Result::ok) {
        if busy.load(Ordering::Relaxed) >= AT_ONCE {
            continue;
        }
        busy.fetch_add(1, Ordering::Relaxed);
        // One that sends nothing keeps nobody else waiting.
        let (shown, busy) = (Arc::clone(shown), Arc::clone(&busy));
        std::thread::spawn(move || {
            // A browser that has gone away is no mistake.
            let _ = answer(stream, port, &shown);
            busy.fetch_sub(1, Ordering::Relaxed);
        });
    }
}

fn answer(mut stream: TcpStream, port: u16, shown: &Mutex<Shown>) -> std::io::Result<()> {
    let until = Instant::now() + PATIENCE;
    stream.set_write_timeout(Some(PATIENCE))?;
    let (mut bytes, mut part) = (Vec::new(), [0; 4096]);
    let reply = loop {
        let left = until.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(ErrorKind::TimedOut.into());
        }
        stream.set_read_timeout(Some(left))?;
        let got = stream.read(&mut part)?;
        bytes.extend(part.iter().take(got));
        let mut headers = [EMPTY_HEADER; MOST_HEADERS];
        let mut request = Request::new(&mut headers);
        match request.parse(&bytes) {
            Ok(Status::Complete(_)) => break reply(&request, port, shown),
            Ok(Status::Partial) if got == 0 => return Ok(()),
            Ok(Status::Partial) if bytes.len() < MOST_BYTES => {}
            _ => break Reply::refused("400 Bad Request", "this is no request that a browser makes"),
        }
    };
    stream.write_all(reply.head().as_bytes())?;
    if reply.body_too {
        stream.write_all(reply.body.as_bytes())?;
    }
    stream.shutdown(Shutdown::Write)
}

/// What is answered.
struct Reply {
    status: &'static str,
    kind: &'static str,
    body: String,
    /// Whether it was asked for, and not only its head.
    body_too: bool,
}

impl Reply {
    fn refused(status: &'static str, why: &str) -> Reply {
        Reply { status, kind: "text/plain", body: format!("{why}\n"), body_too: true }
    }

    /// Nothing is kept, nothing is fetched from elsewhere, no other site may frame the page or read it.
    fn head(&self) -> String {
        format!(
            "HTTP/1.1 {}\r\nContent-Type: {}; charset=utf-8\r\nContent-Length: {}\r\nConnection: close\r\nAllow: GET, HEAD\r\n\
             Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\n\
             Cross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n\
             Content-Security-Policy: default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src 'self'; \
             connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'\r\n\r\n",
            self.status,
            self.kind,
            self.body.len()
        )
    }
}

fn reply(request: &Request, port: u16, shown: &Mutex<Shown>) -> Reply {
    let own = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let sent = |name: &'static str| {
        let named = request.headers.iter().filter(move |header| header.name.eq_ignore_ascii_case(name));
        named.map(|header| String::from_utf8_lossy(header.value).to_ascii_lowercase())
    };
    // Another name that leads to this machine is how other sites come to read what is on it.
    if !matches!(sent("host").collect::<Vec<_>>().as_slice(), [host] if own.contains(host)) {
        let why = format!("this page is for this machine: open http://127.0.0.1:{port}/");
        return Reply::refused("403 Forbidden", &why);
    }
    let ours =
        |origin: String| origin.strip_prefix("http://").is_some_and(|host| own.iter().any(|o| o == host));
    let near = |site: String| ["same-origin", "none"].contains(&site.as_str());
    if !sent("origin").all(ours) || !sent("sec-fetch-site").all(near) {
        return Reply::refused("403 Forbidden", "other sites may not ask for this page");
    }
    let Some(method @ ("GET" | "HEAD")) = request.method else {
        return Reply::refused("405 Method Not Allowed", "this page can be looked at, and nothing else");
    };
    let held = shown.lock().unwrap_or_else(PoisonError::into_inner);
    let (kind, body) = match request.path {
        Some("/") => ("text/html", held.html.clone()),
        Some(LIVE_NOW) => ("text/plain", held.mark()),
        Some(LIVE_SCRIPT_AT) => ("text/javascript", LIVE_SCRIPT.to_owned()),
        _ => return Reply::refused("404 Not Found", "there is nothing here: the page is at `/`"),
    };
    Reply { status: "200 OK", kind, body, body_too: method == "GET" }
}
