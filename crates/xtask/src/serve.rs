//! The page's server: this machine only, files of one folder only.
//!
//! It listens on the loopback address, answers only when asked by a loopback name (so that a
//! foreign page that points its own name at 127.0.0.1 gets nothing), and leaves paths to
//! `tower-http`, which refuses those that climb out of the folder.

use std::env;
use std::future::Future;
use std::io;
use std::net::Ipv4Addr;
use std::path::Path;

use anyhow::{Context, Result};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderValue, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn};
use axum::response::{IntoResponse, Response};
use tokio::net::TcpListener;
use tower_http::services::{ServeDir, ServeFile};
use tower_http::set_header::SetResponseHeaderLayer;

/// The port that is tried first.
const PORT: u16 = 8417;

/// Scripts, styles and data from this server only; WebAssembly may be compiled; no frames, no
/// forms, no plug-ins. `data:` and `blob:` pictures are those that the page draws itself.
const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
     style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; \
     manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; \
     frame-ancestors 'none'";

/// Serves the built page in `folder` until the process ends; prints its address on stdout.
pub fn run(folder: &Path, port: Option<u16>, open_browser: bool) -> Result<()> {
    tokio::runtime::Runtime::new()?.block_on(async {
        let listener = match port {
            Some(port) => listen(port)
                .await
                .with_context(|| format!("port {port} cannot be used"))?,
            None => match listen(PORT).await {
                Ok(listener) => listener,
                Err(_) => listen(0).await?,
            },
        };
        let address = format!("http://{}/", listener.local_addr()?);
        println!("{address}");
        eprintln!("Press Ctrl-C to end.");
        if open_browser && env::var_os("CI").is_none() {
            // A machine without a browser is no fault: the address is printed.
            let _ = open::that_detached(&address);
        }
        serve(listener, folder).await?;
        Ok(())
    })
}

/// Listens on the loopback address; port 0 is any free one.
pub async fn listen(port: u16) -> io::Result<TcpListener> {
    TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await
}

/// Answers requests for the files in `folder`, until it is dropped.
pub fn serve(
    listener: TcpListener,
    folder: &Path,
) -> impl Future<Output = io::Result<()>> + Send + use<> {
    let app = app(folder);
    async move { axum::serve(listener, app).await }
}

/// The service: the files in `folder`, with the headers that every answer carries.
fn app(folder: &Path) -> Router {
    let index = ServeFile::new(folder.join("index.html"))
        .precompressed_br()
        .precompressed_gzip();
    let files = ServeDir::new(folder)
        .append_index_html_on_directories(false)
        .precompressed_br()
        .precompressed_gzip();
    let mut app = Router::new()
        .route_service("/", index)
        .fallback_service(files)
        .layer(from_fn(loopback_names_only));
    for (name, value) in [
        (header::CACHE_CONTROL, "no-cache"),
        (header::CONTENT_SECURITY_POLICY, CONTENT_SECURITY_POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
    ] {
        app = app.layer(SetResponseHeaderLayer::overriding(
            name,
            HeaderValue::from_static(value),
        ));
    }
    app
}

/// Refuses a request that was not made to a loopback name.
async fn loopback_names_only(request: Request, next: Next) -> Response {
    let asked = request
        .headers()
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .and_then(|host| host.parse::<Uri>().ok());
    match asked.as_ref().and_then(Uri::host) {
        Some("127.0.0.1" | "localhost") => next.run(request).await,
        _ => (
            StatusCode::MISDIRECTED_REQUEST,
            "This server answers only to 127.0.0.1 and localhost.\n",
        )
            .into_response(),
    }
}

#[cfg(test)]
mod tests {
    use axum::body::Body;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpStream;
    use tower::ServiceExt;

    use super::*;

    /// A page folder with a secret beside it.
    fn page() -> tempfile::TempDir {
        let above = tempfile::tempdir().unwrap();
        let page = above.path().join("page");
        std::fs::create_dir_all(page.join("sample-sites")).unwrap();
        std::fs::write(above.path().join("secret.txt"), "secret").unwrap();
        for name in ["index.html", "page.wasm", "app.webmanifest"] {
            std::fs::write(page.join(name), name).unwrap();
        }
        std::fs::write(page.join("page.wasm.br"), "packed").unwrap();
        above
    }

    async fn get(path: &str, headers: &[(&str, &str)]) -> Response {
        let above = page();
        let mut request = Request::get(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(Body::empty()).unwrap();
        let response = app(&above.path().join("page")).oneshot(request).await;
        response.unwrap()
    }

    const HERE: (&str, &str) = ("host", "127.0.0.1:8417");

    #[tokio::test]
    async fn a_path_that_climbs_out_is_not_found() {
        // Over a socket, as written: a client library would tidy the path first.
        let above = page();
        let listener = listen(0).await.unwrap();
        let address = listener.local_addr().unwrap();
        tokio::spawn(serve(listener, &above.path().join("page")));
        for path in [
            "/../secret.txt",
            "/%2e%2e/secret.txt",
            "/..%2fsecret.txt",
            "/%2e%2e%2fsecret.txt",
            "/..%5csecret.txt",
            "/sample-sites/../../secret.txt",
            "//secret.txt",
            "/sample-sites/%2e%2e/%2e%2e/secret.txt",
        ] {
            let mut stream = TcpStream::connect(address).await.unwrap();
            let request =
                format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
            stream.write_all(request.as_bytes()).await.unwrap();
            let mut answer = String::new();
            stream.read_to_string(&mut answer).await.unwrap();
            assert!(answer.starts_with("HTTP/1.1 404 "), "{path}: {answer}");
            assert!(!answer.contains("\r\n\r\nsecret"), "{path}: {answer}");
        }
    }

    #[tokio::test]
    async fn the_page_is_there_with_its_headers() {
        let response = get("/", &[HERE]).await;
        assert_eq!(response.status(), StatusCode::OK);
        let headers = response.headers();
        assert_eq!(headers[header::CONTENT_TYPE], "text/html");
        assert_eq!(headers[header::CACHE_CONTROL], "no-cache");
        assert_eq!(headers[header::X_CONTENT_TYPE_OPTIONS], "nosniff");
        assert_eq!(
            headers[header::CONTENT_SECURITY_POLICY],
            CONTENT_SECURITY_POLICY
        );
    }

    #[tokio::test]
    async fn files_have_their_types() {
        for (path, kind) in [
            ("/page.wasm", "application/wasm"),
            ("/app.webmanifest", "application/manifest+json"),
        ] {
            let response = get(path, &[HERE]).await;
            assert_eq!(response.headers()[header::CONTENT_TYPE], kind, "{path}");
        }
    }

    #[tokio::test]
    async fn a_browser_that_unpacks_gets_the_packed_file() {
        let response = get("/page.wasm", &[HERE, ("accept-encoding", "gzip, br")]).await;
        assert_eq!(response.headers()[header::CONTENT_ENCODING], "br");
        assert_eq!(response.headers()[header::CONTENT_TYPE], "application/wasm");
        let plain = get("/page.wasm", &[HERE]).await;
        assert!(!plain.headers().contains_key(header::CONTENT_ENCODING));
    }

    #[tokio::test]
    async fn folders_are_not_listed() {
        for path in ["/sample-sites", "/sample-sites/", "//sample-sites"] {
            let response = get(path, &[HERE]).await;
            assert_eq!(response.status(), StatusCode::NOT_FOUND, "{path}");
        }
    }

    #[tokio::test]
    async fn only_loopback_names_are_answered() {
        for host in ["localhost:8417", "localhost", "127.0.0.1"] {
            let response = get("/", &[("host", host)]).await;
            assert_eq!(response.status(), StatusCode::OK, "{host}");
        }
        for host in ["fair.example", "127.0.0.1.fair.example:8417", "[::1", ""] {
            let response = get("/", &[("host", host)]).await;
            assert_eq!(response.status(), StatusCode::MISDIRECTED_REQUEST, "{host}");
        }
        let nameless = get("/", &[]).await;
        assert_eq!(nameless.status(), StatusCode::MISDIRECTED_REQUEST);
    }
}
