//! What kind of file a name says it is.

/// The media type of a file by the end of its name (registered types, IANA media types registry; JavaScript by RFC 9239).
pub(crate) fn type_of(name: &str) -> &'static str {
    let ending = name.rsplit('/').next().and_then(|file| file.rsplit_once('.')).map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "woff2" => "font/woff2",
        "svg" => "image/svg+xml",
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "webp" => "image/webp",
        "pdf" => "application/pdf",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// The whole file as a `data:` URL.
pub(crate) fn data_url(name: &str, bytes: &[u8]) -> String {
    let media = type_of(name).replace("; ", ";");
    format!("data:{media};base64,{}", base64(bytes))
}

/// RFC 4648 section 4, with padding: what a browser's `atob` reads.
pub(crate) fn base64(bytes: &[u8]) -> String {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD.encode(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn types() {
        assert_eq!(type_of("pkg/stepbite_bg.wasm"), "application/wasm");
        assert_eq!(type_of("demo/Ice.JPG"), "image/jpeg");
        assert_eq!(type_of("v1.html/read"), "application/octet-stream");
    }

    #[test]
    fn data_urls() {
        // The base64 of "foobar": RFC 4648 section 10.
        assert_eq!(data_url("a.txt", b"foobar"), "data:text/plain;charset=utf-8;base64,Zm9vYmFy");
        assert_eq!(data_url("a.png", b"f"), "data:image/png;base64,Zg==");
    }
}
