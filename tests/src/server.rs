//! The servers that the browser looks at.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use tokio::sync::OnceCell;
use tokio::task::{AbortHandle, spawn_blocking};
use xtask::{js, page, serve, workspace};

/// The built page, served on a free loopback port by the server that `cargo xtask page` uses.
#[derive(Debug)]
pub struct PageServer(Server);

impl PageServer {
    /// Builds the page and serves it.
    pub async fn start() -> Result<PageServer> {
        PageServer::of(&PageServer::build().await?).await
    }

    /// Builds the page, once for all the tests of a target; answers with its folder.
    pub async fn build() -> Result<PathBuf> {
        static BUILT: OnceCell<PathBuf> = OnceCell::const_new();
        BUILT
            .get_or_try_init(|| build("page", page::build))
            .await
            .cloned()
    }

    /// Serves the page in a folder.
    pub async fn of(folder: &Path) -> Result<PageServer> {
        Server::start(folder).await.map(PageServer)
    }

    /// The page's address: `http://127.0.0.1:PORT/`.
    pub fn url(&self) -> &str {
        &self.0.url
    }

    /// Goes off the air.
    pub fn stop(&self) {
        self.0.task.abort();
    }
}

/// The built library for other people's pages (`tober.js`), served on a free loopback port.
#[derive(Debug)]
pub struct JsServer(Server);

impl JsServer {
    /// Builds the library, once for all the tests of a target, and serves it.
    pub async fn start() -> Result<JsServer> {
        static BUILT: OnceCell<PathBuf> = OnceCell::const_new();
        let folder = BUILT.get_or_try_init(|| build("js", js::build)).await?;
        Server::start(folder).await.map(JsServer)
    }

    /// The address of the folder: `http://127.0.0.1:PORT/`.
    pub fn url(&self) -> &str {
        &self.0.url
    }
}

/// Builds into `target/NAME`; answers with that folder.
async fn build(name: &str, build: fn(&Path) -> Result<()>) -> Result<PathBuf> {
    let folder = workspace::target().join(name);
    spawn_blocking(move || build(&folder).map(|()| folder))
        .await
        .map_err(|error| anyhow!("the build stopped: {error}"))?
}

#[derive(Debug)]
struct Server {
    url: String,
    task: AbortHandle,
}

impl Server {
    async fn start(folder: &Path) -> Result<Server> {
        let listener = serve::listen(0).await.context("no free loopback port")?;
        let url = format!("http://{}/", listener.local_addr()?);
        let task = tokio::spawn(serve::serve(listener, folder)).abort_handle();
        Ok(Server { url, task })
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.task.abort();
    }
}
