//! Connections: limited in number, in all and for each address, and in the time
//! that a request may take to arrive.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::collections::BTreeMap;
use std::future::Future;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::net::TcpListener;
use tower::ServiceExt as _;

/// How long the head of a request may take to arrive.
const HEAD: Duration = Duration::from_secs(15);

/// How many connections there may be at a time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ConnectionLimits {
    all: usize,
    /// From one address, so that one machine cannot lock out all others.
    each_address: usize,
}

impl Default for ConnectionLimits {
    /// A browser opens six to a page.
    fn default() -> Self {
        Self {
            all: 200,
            each_address: 120,
        }
    }
}

/// The connections now, by address.
#[derive(Debug, Default)]
struct Connections(Mutex<BTreeMap<IpAddr, usize>>);

/// A connection that counts until it is dropped.
struct Counted {
    connections: Arc<Connections>,
    address: IpAddr,
}

impl Connections {
    /// Counts one more; `None` where there are too many.
    fn admit(self: &Arc<Self>, address: IpAddr, limits: ConnectionLimits) -> Option<Counted> {
        let mut now = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let own = now.get(&address).copied().unwrap_or_default();
        if own >= limits.each_address || now.values().sum::<usize>() >= limits.all {
            return None;
        }
        now.insert(address, own + 1);
        Some(Counted {
            connections: Arc::clone(self),
            address,
        })
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        let mut now = self
            .connections
            .0
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(own) = now.get_mut(&self.address) {
            *own -= 1;
            if *own == 0 {
                now.remove(&self.address);
            }
        }
    }
}

/// Serves until `stop` is done.
pub(crate) async fn serve(
    listener: TcpListener,
    app: Router,
    limits: ConnectionLimits,
    stop: impl Future<Output = ()>,
) {
    let connections = Arc::new(Connections::default());
    tokio::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => return,
        };
        let Ok((stream, from)) = accepted else {
            // Too many open files, or the other side is gone: let others end first.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        let Some(counted) = connections.admit(from.ip(), limits) else {
            continue;
        };
        let app = app
            .clone()
            .map_request(|request: Request<Incoming>| request.map(Body::new));
        tokio::spawn(async move {
            // How a single connection ends concerns nobody else.
            let _ = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD)
                .serve_connection(TokioIo::new(stream), TowerToHyperService::new(app))
                .await;
            drop(counted);
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_cannot_take_every_connection() {
        let connections = Arc::new(Connections::default());
        let limits = ConnectionLimits {
            all: 4,
            each_address: 2,
        };
        let address = |last| IpAddr::from([192, 168, 1, last]);
        let admit = |last| connections.admit(address(last), limits);
        let first = [admit(1), admit(1)];
        assert!(first.iter().all(Option::is_some));
        assert!(admit(1).is_none(), "a third one from the same address");
        let second = [admit(2), admit(3)];
        assert!(second.iter().all(Option::is_some));
        assert!(admit(4).is_none(), "a fifth one in all");
        drop(first);
        assert!(admit(1).is_some());
    }
}
