//! Serving the page on this machine, for looking at it and for working on it.

use std::convert::Infallible;
use std::net::{Ipv4Addr, TcpListener};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;

use http_body_util::Full;
use hyper::body::{Bytes, Incoming};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;

use super::failure::Failure;
use super::paths::Paths;
use super::{browser, html, media, note, say};

/// How many ports after the wanted one are tried.
const PORTS_TRIED: u16 = 50;

/// Serves `www/` and the bindings on the loopback address until the program is ended.
///
/// Files in `www/` win over those of `target/site/`, so that a reload shows what was just edited.
pub(crate) fn serve(paths: &Paths, port: u16, open: bool) -> Result<(), Failure> {
    let listener = listen(port)?;
    let bound = listener.local_addr().map_err(|e| Failure::new(format!("Could not tell the port: {e}.")))?.port();
    if port != 0 && bound != port {
        note(&format!("Port {port} is taken; using {bound}."));
    }
    let address = format!("http://127.0.0.1:{bound}/");
    say(&format!("Stepbite is at {address} (Ctrl-C ends it)."));
    if open && !browser::open(&address) {
        note(&format!("No browser could be opened: open {address} yourself."));
    }
    let shelf = Shelf { folders: vec![paths.www(), paths.site()] };
    let cause = run(listener, shelf).err().map_or_else(String::new, |e| format!(" ({e})"));
    Err(Failure::new(format!("The server has stopped{cause}: `cargo run` starts it again.")))
}

/// Answers whatever connects. Every connection is a task of its own, so that a browser that keeps many open waits for none of them.
fn run(listener: TcpListener, shelf: Shelf) -> std::io::Result<()> {
    listener.set_nonblocking(true)?;
    let shelf = Arc::new(shelf);
    tokio::runtime::Builder::new_current_thread().enable_io().build()?.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        loop {
            let (stream, _) = listener.accept().await?;
            let shelf = Arc::clone(&shelf);
            tokio::spawn(async move {
                let service = service_fn(|request| std::future::ready(Ok::<_, Infallible>(answer(&request, &shelf))));
                let connection = http1::Builder::new().title_case_headers(true).serve_connection(TokioIo::new(stream), service);
                drop(connection.await); // the browser may have gone
            });
        }
    })
}

/// Only the loopback address: the page is for this machine, and nobody else should find it.
fn listen(port: u16) -> Result<TcpListener, Failure> {
    let last = if port == 0 { 0 } else { port.saturating_add(PORTS_TRIED) };
    let mut cause = None;
    for candidate in port..=last {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, candidate)) {
            Ok(listener) => return Ok(listener),
            Err(error) => cause = cause.or(Some(error)),
        }
    }
    let cause = cause.map_or_else(String::new, |e| format!(" ({e})"));
    Err(Failure::new(format!("No port from {port} to {last} could be used{cause}: choose another with --port.")))
}

fn answer(request: &Request<Incoming>, shelf: &Shelf) -> Response<Full<Bytes>> {
    // A request that trips over a fault of ours is told so; the others are not disturbed.
    let reply = catch_unwind(AssertUnwindSafe(|| match *request.method() {
        Method::GET | Method::HEAD => shelf.find(request.uri().path()),
        _ => Reply::words(405, "Only GET and HEAD are answered here."),
    }));
    let reply = reply.unwrap_or_else(|_| Reply::words(500, "This request could not be answered; the server goes on."));
    let mut response = Response::builder().status(reply.status);
    for (name, value) in reply.headers {
        response = response.header(name, value);
    }
    response.body(Full::from(reply.body)).unwrap_or_else(|_| {
        let mut plain = Response::new(Full::default());
        *plain.status_mut() = StatusCode::INTERNAL_SERVER_ERROR;
        plain
    })
}

/// The folders files are taken from, the first that has one wins.
struct Shelf {
    folders: Vec<PathBuf>,
}

/// What goes back to the browser.
#[derive(Debug)]
struct Reply {
    status: u16,
    headers: Vec<(&'static str, String)>,
    body: Vec<u8>,
}

impl Shelf {
    /// The file a request asks for.
    fn find(&self, target: &str) -> Reply {
        let Some(name) = name_of(target) else {
            return self.with_policy(Reply::words(400, "This address is not the name of a file of the page."));
        };
        let bytes = self.folders.iter().find_map(|folder| std::fs::read(folder.join(&name)).ok());
        self.with_policy(match bytes {
            Some(bytes) => Reply { status: 200, headers: vec![("Content-Type", media::type_of(&name).to_string())], body: bytes },
            None => Reply::words(404, &format!("There is no file {name} in the page.")),
        })
    }

    /// The page's own policy, as a header too: the worker has no meta element to read it from.
    fn with_policy(&self, mut reply: Reply) -> Reply {
        let page = self.folders.iter().find_map(|folder| std::fs::read_to_string(folder.join("index.html")).ok());
        let policy = page.as_deref().and_then(html::policy).unwrap_or_else(|| "default-src 'none'".to_string());
        reply.headers.push(("Content-Security-Policy", format!("{policy}; frame-ancestors 'none'")));
        reply.headers.push(("X-Content-Type-Options", "nosniff".to_string()));
        reply.headers.push(("Referrer-Policy", "no-referrer".to_string()));
        reply.headers.push(("Cross-Origin-Opener-Policy", "same-origin".to_string()));
        reply.headers.push(("Cross-Origin-Resource-Policy", "same-origin".to_string()));
        reply.headers.push(("Cache-Control", "no-store".to_string()));
        reply
    }
}

impl Reply {
    fn words(status: u16, sentence: &str) -> Self {
        let mut reply = Self { status, headers: Vec::new(), body: format!("{sentence}\n").into_bytes() };
        reply.headers.push(("Content-Type", "text/plain; charset=utf-8".to_string()));
        if status == 405 {
            reply.headers.push(("Allow", "GET, HEAD".to_string()));
        }
        reply
    }
}

/// The name of a file below the page's folder, from a request's target; `None` where it could be anything else.
///
/// Every part must be a plain name: none empty, hidden or `..`, none with a separator or drive of any system hidden in an escape.
fn name_of(target: &str) -> Option<String> {
    let path = target.split(['?', '#']).next()?.strip_prefix('/')?;
    let name = unescape(path)?;
    let name = if name.is_empty() { "index.html".to_string() } else { name };
    let plain = |part: &str| !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', ':', '\0']);
    name.split('/').all(plain).then_some(name)
}

/// Undoes percent-encoding (RFC 3986 section 2.1); `None` where it is broken or not UTF-8.
fn unescape(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let [first, after @ ..] = rest {
        if *first == b'%' {
            let (digits, after) = after.split_at_checked(2)?;
            let digit = |d: u8| char::from(d).to_digit(16).and_then(|v| u8::try_from(v).ok());
            bytes.push(digit(digits[0])? * 16 + digit(digits[1])?);
            rest = after;
        } else {
            bytes.push(*first);
            rest = after;
        }
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use std::io::{Read, Write};
    use std::net::TcpStream;

    use super::*;

    #[test]
    fn names() {
        assert_eq!(name_of("/").as_deref(), Some("index.html"));
        assert_eq!(name_of("/pkg/stepbite.js?x=1").as_deref(), Some("pkg/stepbite.js"));
        assert_eq!(name_of("/demo/ice%20house.jpg").as_deref(), Some("demo/ice house.jpg"));
    }

    #[test]
    fn nothing_outside_the_page() {
        for target in [
            "/../Cargo.toml",
            "/demo/../../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "/..%2fCargo.toml",
            "/..%5cCargo.toml",
            "/C:/secret",
            "//etc/passwd",
            "/%2fetc/passwd",
            "/.git/config",
            "/demo//x",
            "/demo/",
            "/%",
            "/%4",
            "/%zz",
            "/%ff",
            "/%00",
            "http://elsewhere/",
            "*",
            "",
        ] {
            assert_eq!(name_of(target), None, "{target}");
        }
    }

    /// A page folder and a built folder.
    fn shelf() -> (tempfile::TempDir, Shelf) {
        let folder = tempfile::tempdir().expect("a folder");
        let page = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'self'\">page";
        for (name, text) in [
            ("www/index.html", page),
            ("www/main.js", "edited"),
            ("built/main.js", "old"),
            ("built/pkg/a.wasm", "wasm"),
            ("secret.txt", "secret"),
        ] {
            super::super::site::write(&folder.path().join(name), text.as_bytes()).expect("written");
        }
        let shelf = Shelf { folders: vec![folder.path().join("www"), folder.path().join("built")] };
        (folder, shelf)
    }

    /// A server for them on a free port.
    fn served() -> (tempfile::TempDir, u16) {
        let (folder, shelf) = shelf();
        let listener = listen(0).expect("a port");
        let port = listener.local_addr().expect("an address").port();
        std::thread::spawn(move || run(listener, shelf));
        (folder, port)
    }

    /// What comes back for a request line, headers and body.
    fn ask(port: u16, line: &str) -> (String, String) {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("a connection");
        write!(stream, "{line} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n").expect("sent");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("an answer");
        let (head, body) = text.split_once("\r\n\r\n").expect("a head");
        (head.to_string(), body.to_string())
    }

    #[test]
    fn answers_over_a_socket() {
        let (_folder, port) = served();
        let (head, body) = ask(port, "GET /");
        assert!(head.starts_with("HTTP/1.1 200"), "{head}");
        assert!(body.ends_with("page"), "{body}");
        assert!(head.contains("Content-Security-Policy: default-src 'self'; frame-ancestors 'none'"), "{head}");
        assert!(head.contains("X-Content-Type-Options: nosniff") && head.contains("Cache-Control: no-store"), "{head}");
        assert!(head.contains("Content-Type: text/html; charset=utf-8"), "{head}");

        let (head, body) = ask(port, "GET /main.js");
        assert_eq!(body, "edited", "www/ wins over what was built: {head}");
        let (head, body) = ask(port, "HEAD /pkg/a.wasm");
        assert!(head.contains("Content-Type: application/wasm") && head.contains("Content-Length: 4"), "{head}");
        assert_eq!(body, "");

        let (head, body) = ask(port, "GET /nothing.js");
        assert!(head.starts_with("HTTP/1.1 404") && body == "There is no file nothing.js in the page.\n", "{head} {body}");
        let (head, body) = ask(port, "GET /../secret.txt");
        assert!(head.starts_with("HTTP/1.1 400") && !body.contains("secret"), "{head} {body}");
        let (head, _) = ask(port, "POST /");
        assert!(head.starts_with("HTTP/1.1 405") && head.contains("Allow: GET, HEAD"), "{head}");
        let (head, _) = ask(port, "GET /main.js");
        assert!(head.starts_with("HTTP/1.1 200"), "still there after all that: {head}");
    }

    #[test]
    fn many_connections_kept_open_are_all_answered() {
        let (_folder, shelf) = shelf();
        let listener = listen(0).expect("a port");
        let port = listener.local_addr().expect("an address").port();
        // All of them are waiting when the server looks for the first time: they come in one burst.
        let mut open: Vec<TcpStream> = (0..24).map(|_| TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("a connection")).collect();
        std::thread::spawn(move || run(listener, shelf));
        for round in 0..3 {
            for stream in &mut open {
                write!(stream, "GET /main.js HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").expect("sent");
            }
            for (i, stream) in open.iter_mut().enumerate() {
                stream.set_read_timeout(Some(std::time::Duration::from_secs(20))).expect("set");
                let mut text = Vec::new();
                while !text.ends_with(b"edited") {
                    let mut part = [0; 1024];
                    let read = stream.read(&mut part).unwrap_or_else(|e| panic!("connection {i}, round {round}: {e}"));
                    assert!(read > 0, "connection {i} was closed in round {round}");
                    text.extend_from_slice(&part[..read]);
                }
            }
        }
    }

    #[test]
    fn a_taken_port_is_passed_over() {
        let first = listen(0).expect("a port");
        let taken = first.local_addr().expect("an address").port();
        if taken < u16::MAX - PORTS_TRIED {
            let second = listen(taken).expect("another").local_addr().expect("an address").port();
            assert!(second > taken && second <= taken + PORTS_TRIED, "{taken} {second}");
        }
    }
}
