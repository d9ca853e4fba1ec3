//! Starting the desk: folder, port, keys, and what the terminal shows.

use crate::hosts::Hosts;
use crate::keys::Keys;
use crate::listen::{ConnectionLimits, Connections};
use crate::outbox::percent_encoded;
use crate::state::Desk;
use crate::{browser, lan, listen, routes};
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;

/// How the desk is started.
#[derive(Debug, Clone)]
pub struct Options {
    /// A photo, or a folder of photos.
    pub open: PathBuf,
    /// The port; 0 takes a free one.
    pub port: u16,
    /// Whether the browser is opened.
    pub browser: bool,
    /// The ring of the photo to begin at, counted from the pith.
    pub ring: Option<u32>,
    /// Whether a phone on the same network may come in, and under which
    /// address of this machine where the person says so.
    pub lan: Option<Option<IpAddr>>,
    /// Ends once no browser was connected for this long.
    pub end_unused: Option<Duration>,
}

/// What the terminal shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// The desk is open: the address for this machine.
    Open {
        /// Opens one browser, once.
        address: String,
    },
    /// The address for a phone on the same network.
    OnTheNetwork {
        /// Opens one browser, once.
        address: String,
        /// The same as a QR code, in letters.
        code: Option<String>,
    },
    /// The browser would not start.
    NoBrowser,
    /// A browser came in; what opens the next one follows.
    CameIn,
}

/// Why the desk could not be started.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServeError {
    /// What should be opened is not there.
    #[error("cannot open {}: {source}", path.display())]
    CannotOpen {
        /// The photo or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The port is in use or may not be used.
    #[error("cannot use port {port}: {source}")]
    Port {
        /// The port asked for.
        port: u16,
        /// What the system said.
        source: io::Error,
    },
    /// The address given for the local network is not one of this machine's.
    #[error("cannot use the address {ip} for --lan: {source}")]
    Address {
        /// The address asked for.
        ip: IpAddr,
        /// What the system said.
        source: io::Error,
    },
    /// The address given for the local network stands for all of them.
    #[error("cannot use the address {ip} for --lan: it means every network of this machine")]
    NotOneAddress {
        /// The address asked for.
        ip: IpAddr,
    },
    /// This machine is on no network.
    #[error("this machine has no address on a local network")]
    NoNetwork,
    /// The system gives no threads, timers or keys.
    #[error("cannot start: {0}")]
    System(#[from] io::Error),
}

impl ServeError {
    /// What to do, as shown after `try:`.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::CannotOpen { .. } => "name a photo, or a folder that you may read",
            Self::Port { .. } => "leave --port out to take a free one",
            Self::Address { .. } | Self::NotOneAddress { .. } => {
                "leave the address out to use this machine's own, or name one of its own: --lan=192.168.1.20"
            }
            Self::NoNetwork => {
                "connect it to the same network as the phone, or name its address: --lan=192.168.1.20"
            }
            Self::System(_) => "close other programs and start it again",
        }
    }
}

/// Serves the page until it is stopped (Ctrl-C).
///
/// # Errors
/// [`ServeError`], each with its `advice()`.
pub fn serve(options: &Options, show: &(dyn Fn(Notice) + Sync)) -> Result<(), ServeError> {
    // One thread for requests; readings run on threads of their own.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    let served = runtime.block_on(run(options, show));
    // A running reading need not be waited for: marks are saved before it.
    runtime.shutdown_background();
    served
}

async fn run(options: &Options, show: &(dyn Fn(Notice) + Sync)) -> Result<(), ServeError> {
    let (folder, photo) = opened(&options.open)?;
    let network = match options.lan {
        None => None,
        Some(Some(ip)) if ip.is_unspecified() => return Err(ServeError::NotOneAddress { ip }),
        Some(given) => Some(given.or_else(lan::address).ok_or(ServeError::NoNetwork)?),
    };
    let local = bind(Ipv4Addr::LOCALHOST.into(), options.port).await?;
    let port = local.local_addr()?.port();
    let network_listener = match network {
        Some(ip) if !ip.is_loopback() => Some(bind_network(ip, port).await?),
        Some(_) | None => None,
    };
    let others: Vec<SocketAddr> = network
        .iter()
        .map(|ip| SocketAddr::from((*ip, port)))
        .collect();
    let desk = Desk::new(&folder, Keys::new()?, Hosts::new(port, &others))
        .map(Arc::new)
        .map_err(|source| ServeError::CannotOpen {
            path: options.open.clone(),
            source,
        })?;
    let addresses = Addresses {
        port,
        network,
        photo,
        ring: options.ring,
    };
    let first = addresses.local(&desk.keys.entry());
    addresses.show(&desk, show);
    if options.browser && !browser::open(&first) {
        show(Notice::NoBrowser);
    }
    let app = routes::app(Arc::clone(&desk));
    let stop = async {
        // Where Ctrl-C cannot be caught, the system ends the program by itself.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    let doorkeeper = async {
        loop {
            desk.entered.notified().await;
            show(Notice::CameIn);
            addresses.show(&desk, show);
        }
    };
    let connections = Arc::new(Connections::default());
    let limits = ConnectionLimits::default();
    let serve = |listener| listen::serve(listener, app.clone(), limits, Arc::clone(&connections));
    let on_network = async {
        match network_listener {
            Some(listener) => serve(listener).await,
            None => std::future::pending().await,
        }
    };
    tokio::select! {
        () = serve(local) => {}
        () = on_network => {}
        () = doorkeeper => {}
        () = connections.unused(options.end_unused) => {}
        () = stop => {}
    }
    Ok(())
}

/// The addresses that are shown.
struct Addresses {
    port: u16,
    network: Option<IpAddr>,
    photo: Option<String>,
    ring: Option<u32>,
}

impl Addresses {
    fn local(&self, key: &str) -> String {
        self.of(&SocketAddr::from((Ipv4Addr::LOCALHOST, self.port)), key)
    }

    fn of(&self, host: &SocketAddr, key: &str) -> String {
        let ring = self
            .ring
            .map(|number| format!("&ring={number}"))
            .unwrap_or_default();
        let photo = self
            .photo
            .as_deref()
            .map(|name| format!("&stump={}{ring}", percent_encoded(name)))
            .unwrap_or_default();
        // Behind the #, so that it is never sent, kept in a log or passed on.
        format!("http://{host}/#key={key}{photo}")
    }

    fn show(&self, desk: &Desk, show: &dyn Fn(Notice)) {
        let key = desk.keys.entry();
        show(Notice::Open {
            address: self.local(&key),
        });
        if let Some(ip) = self.network {
            let address = self.of(&SocketAddr::from((ip, self.port)), &key);
            let code = lan::code(&address);
            show(Notice::OnTheNetwork { address, code });
        }
    }
}

/// The folder to serve, and the photo in it to begin with.
fn opened(path: &std::path::Path) -> Result<(PathBuf, Option<String>), ServeError> {
    let cannot = |source| ServeError::CannotOpen {
        path: path.to_owned(),
        source,
    };
    let what = std::fs::metadata(path).map_err(cannot)?;
    if what.is_dir() {
        return Ok((path.to_owned(), None));
    }
    let whole = path.canonicalize().map_err(cannot)?;
    let folder = whole.parent().map(PathBuf::from).unwrap_or_default();
    let name = whole
        .file_name()
        .map(|name| name.to_string_lossy().into_owned());
    Ok((folder, name))
}

/// A listener on an address of the local network. The port is free on this
/// machine already, so what fails here is the address.
async fn bind_network(ip: IpAddr, port: u16) -> Result<TcpListener, ServeError> {
    TcpListener::bind(SocketAddr::from((ip, port)))
        .await
        .map_err(|source| match source.kind() {
            io::ErrorKind::AddrInUse => ServeError::Port { port, source },
            _ => ServeError::Address { ip, source },
        })
}

async fn bind(ip: IpAddr, port: u16) -> Result<TcpListener, ServeError> {
    TcpListener::bind(SocketAddr::from((ip, port)))
        .await
        .map_err(|source| ServeError::Port { port, source })
}
