//! Connections: limited in number, in all and for each address, and in the time
//! that a request may take to arrive. Where there are too many, one that asks
//! nothing makes room, so that connections left half-open lock nobody out.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Notify;
use tower::ServiceExt as _;

/// How long the head of a request may take to arrive.
const HEAD: Duration = Duration::from_secs(15);
/// How long a connection that makes room may still send its last answer.
const LAST_ANSWER: Duration = Duration::from_secs(5);

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

/// The connections now.
#[derive(Debug)]
pub(crate) struct Connections(Mutex<Table>);

#[derive(Debug)]
struct Table {
    /// By number, so that the oldest comes first.
    open: BTreeMap<u64, Open>,
    next: u64,
    /// When a connection was last opened or closed.
    changed: Instant,
}

/// One connection.
#[derive(Debug)]
struct Open {
    address: IpAddr,
    /// Whether a request of it is being answered.
    busy: bool,
    make_room: Arc<Notify>,
}

/// A connection that counts until it is dropped or has made room.
struct Counted {
    connections: Arc<Connections>,
    number: u64,
    make_room: Arc<Notify>,
}

/// A request that is being answered.
struct Busy<'a>(&'a Counted);

impl Default for Connections {
    fn default() -> Self {
        Self(Mutex::new(Table {
            open: BTreeMap::new(),
            next: 0,
            changed: Instant::now(),
        }))
    }
}

impl Connections {
    fn table(&self) -> MutexGuard<'_, Table> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Counts one more. Where there are too many, the oldest that asks nothing
    /// makes room; `None` where all are being answered.
    fn admit(self: &Arc<Self>, address: IpAddr, limits: ConnectionLimits) -> Option<Counted> {
        let mut table = self.table();
        let own = table.count(address);
        if own >= limits.each_address {
            table.make_room(address)?;
        } else if table.open.len() >= limits.all {
            let most = table.busiest_address()?;
            table.make_room(most)?;
        }
        let number = table.next;
        let make_room = Arc::new(Notify::new());
        let open = Open {
            address,
            busy: false,
            make_room: Arc::clone(&make_room),
        };
        table.open.insert(number, open);
        table.next += 1;
        table.changed = Instant::now();
        Some(Counted {
            connections: Arc::clone(self),
            number,
            make_room,
        })
    }

    /// Ends once nobody was connected for that long; never without a time.
    pub(crate) async fn unused(&self, for_as_long: Option<Duration>) {
        let Some(long) = for_as_long else {
            return std::future::pending().await;
        };
        loop {
            let unused = {
                let table = self.table();
                table.open.is_empty().then(|| table.changed.elapsed())
            };
            let left = long.saturating_sub(unused.unwrap_or_default());
            if left.is_zero() {
                return;
            }
            tokio::time::sleep(left).await;
        }
    }
}

impl Table {
    fn count(&self, address: IpAddr) -> usize {
        let own = |open: &&Open| open.address == address;
        self.open.values().filter(own).count()
    }

    /// The address with the most connections.
    fn busiest_address(&self) -> Option<IpAddr> {
        let addresses = self.open.values().map(|open| open.address);
        addresses.max_by_key(|&address| self.count(address))
    }

    /// Takes the oldest connection of an address that asks nothing out of the
    /// count and has it closed; `None` where there is none.
    fn make_room(&mut self, address: IpAddr) -> Option<()> {
        let idle = |(_, open): &(&u64, &Open)| open.address == address && !open.busy;
        let (&number, _) = self.open.iter().find(idle)?;
        let open = self.open.remove(&number)?;
        open.make_room.notify_one();
        Some(())
    }
}

impl Counted {
    fn busy(&self) -> Busy<'_> {
        if let Some(open) = self.connections.table().open.get_mut(&self.number) {
            open.busy = true;
        }
        Busy(self)
    }
}

impl Drop for Busy<'_> {
    fn drop(&mut self) {
        if let Some(open) = self.0.connections.table().open.get_mut(&self.0.number) {
            open.busy = false;
        }
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        let mut table = self.connections.table();
        table.open.remove(&self.number);
        table.changed = Instant::now();
    }
}

/// Serves until it is dropped.
pub(crate) async fn serve(
    listener: TcpListener,
    app: Router,
    limits: ConnectionLimits,
    connections: Arc<Connections>,
) {
    loop {
        let Ok((stream, from)) = listener.accept().await else {
            // Too many open files, or the other side is gone: let others end first.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        if let Some(counted) = connections.admit(from.ip(), limits) {
            tokio::spawn(answer(stream, app.clone(), counted));
        }
    }
}

/// Answers the requests of one connection until it ends or makes room.
async fn answer(stream: TcpStream, app: Router, counted: Counted) {
    let service = service_fn(|request: Request<Incoming>| {
        let app = app.clone();
        let counted = &counted;
        async move {
            let _busy = counted.busy();
            app.oneshot(request.map(Body::new)).await
        }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .serve_connection(TokioIo::new(stream), service);
    tokio::pin!(connection);
    // How a single connection ends concerns nobody else.
    tokio::select! {
        _ = connection.as_mut() => {}
        () = counted.make_room.notified() => {
            connection.as_mut().graceful_shutdown();
            let _ = tokio::time::timeout(LAST_ANSWER, connection).await;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Read as _, Write as _};

    fn address(last: u8) -> IpAddr {
        IpAddr::from([192, 168, 1, last])
    }

    #[test]
    fn one_address_cannot_take_every_connection() {
        let connections = Arc::new(Connections::default());
        let limits = ConnectionLimits {
            all: 4,
            each_address: 2,
        };
        let admit = |last| connections.admit(address(last), limits);
        let open: Vec<Counted> = [1, 1, 2, 3].into_iter().filter_map(admit).collect();
        assert_eq!(open.len(), 4);
        let busy: Vec<Busy> = open.iter().map(Counted::busy).collect();
        assert!(admit(1).is_none(), "a third one from the same address");
        assert!(admit(4).is_none(), "a fifth one in all");
        drop(busy);
        let third = admit(1);
        assert!(third.is_some(), "the oldest asks nothing and makes room");
        assert_eq!(connections.table().count(address(1)), 2);
        assert!(!connections.table().open.contains_key(&open[0].number));
    }

    fn runtime() -> tokio::runtime::Runtime {
        tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap()
    }

    /// 205 connections send half a head and then nothing; one asks, and is answered.
    #[test]
    fn half_open_connections_lock_nobody_out() {
        let runtime = runtime();
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).unwrap();
        let to = listener.local_addr().unwrap();
        let connect = move |words: &[u8]| {
            let mut stream = std::net::TcpStream::connect(to).unwrap();
            stream.write_all(words).unwrap();
            stream
        };
        let people = std::thread::spawn(move || {
            let half: Vec<_> = (0..205).map(|_| connect(b"GET / HTTP/1.1\r\nHo")).collect();
            let start = Instant::now();
            let mut text = String::new();
            connect(b"GET / HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
                .read_to_string(&mut text)
                .unwrap();
            drop(half);
            (text, start.elapsed())
        });
        let connections = Arc::new(Connections::default());
        let limits = ConnectionLimits::default();
        let app = Router::new().route("/", axum::routing::get(|| async { "in" }));
        let ended = async {
            while !people.is_finished() {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
        };
        runtime.block_on(async {
            tokio::select! {
                () = serve(listener, app, limits, Arc::clone(&connections)) => {}
                () = ended => {}
            }
        });
        let (text, took) = people.join().unwrap();
        assert!(text.ends_with("in"), "{text:?}");
        assert!(took < HEAD / 2, "{took:?}");
        assert!(connections.table().open.len() <= limits.each_address);
    }

    #[test]
    fn a_desk_that_nobody_uses_ends() {
        let runtime = runtime();
        let connections = Arc::new(Connections::default());
        let long = Duration::from_millis(60);
        let start = Instant::now();
        runtime.block_on(async {
            let open = connections.admit(address(1), ConnectionLimits::default());
            let close = async {
                tokio::time::sleep(2 * long).await;
                drop(open);
            };
            tokio::join!(connections.unused(Some(long)), close);
        });
        assert!(start.elapsed() >= 3 * long, "{:?}", start.elapsed());
    }
}
