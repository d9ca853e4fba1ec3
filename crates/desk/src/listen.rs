//! Connections: bounded in number, and none may dawdle over its request.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::future::Future;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tower::ServiceExt as _;

/// Connections at a time; a browser opens six to a page.
const SEATS: usize = 200;
/// How long the head of a request may take to arrive.
const HEAD: Duration = Duration::from_secs(15);

/// Serves until `stop` is done.
pub(crate) async fn serve(listener: TcpListener, app: Router, stop: impl Future<Output = ()>) {
    let seats = Arc::new(Semaphore::new(SEATS));
    tokio::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => return,
        };
        let Ok((stream, _)) = accepted else {
            // Too many open files, or the other side is gone: let others end first.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        let Ok(seat) = Arc::clone(&seats).try_acquire_owned() else {
            continue;
        };
        let app = app
            .clone()
            .map_request(|request: Request<Incoming>| request.map(Body::new));
        tokio::spawn(async move {
            // How a single connection ends is its own affair.
            let _ = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD)
                .serve_connection(TokioIo::new(stream), TowerToHyperService::new(app))
                .await;
            drop(seat);
        });
    }
}
