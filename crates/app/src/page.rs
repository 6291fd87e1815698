//! The page's files, built from `web/` and carried inside the program.

/// One file of the page.
pub(crate) struct PageFile {
    /// Its path on the server.
    pub(crate) path: &'static str,
    /// Its type.
    pub(crate) content_type: &'static str,
    /// Its bytes.
    pub(crate) bytes: &'static [u8],
}

macro_rules! page_files {
    ($($path:literal, $name:literal, $kind:literal;)*) => {
        &[$(PageFile {
            path: $path,
            content_type: $kind,
            bytes: include_bytes!(concat!("../page/", $name)),
        }),*]
    };
}

/// All of them; the names are fixed by `web/vite.config.ts`.
pub(crate) const FILES: &[PageFile] = page_files! {
    "/", "index.html", "text/html; charset=utf-8";
    "/app.js", "app.js", "text/javascript; charset=utf-8";
    "/three.js", "three.js", "text/javascript; charset=utf-8";
    "/ears.worker.js", "ears.worker.js", "text/javascript; charset=utf-8";
    "/ears.worklet.js", "ears.worklet.js", "text/javascript; charset=utf-8";
    "/app.css", "app.css", "text/css; charset=utf-8";
    "/literata-latin-opsz-normal.woff2", "literata-latin-opsz-normal.woff2", "font/woff2";
    "/literata-latin-wght-italic.woff2", "literata-latin-wght-italic.woff2", "font/woff2";
    "/atkinson-hyperlegible-next-latin-wght-normal.woff2", "atkinson-hyperlegible-next-latin-wght-normal.woff2", "font/woff2";
};
