//! The listener: this computer alone, so many connections, so much time for each.

use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::sync::{Notify, Semaphore};

use super::desk::Desk;
use super::guard::Guard;
use super::planner::Planner;
use super::routes::{Served, router};
use crate::cli::failure::Failure;

/// A browser has six connections to a server; more than these belong to none.
const MOST_CONNECTIONS: usize = 128;
/// How long the head of a request may take, and an idle connection stay.
const HEAD_TIME: Duration = Duration::from_secs(5);
/// How often it is looked whether a page is still open, and after how many looks without a sign of one
/// the program ends: a browser may let a page in the background speak once a minute.
const LOOK: Duration = Duration::from_secs(10);
const LOOKS: u64 = 30;

/// Serves a desk until the page is ended or gone; `opened` is given the address.
pub fn serve(desk: Desk, opened: impl FnOnce(&str) -> Result<(), Failure>) -> Result<(), Failure> {
    let fault = |error: std::io::Error| {
        Failure::Write(format!("127.0.0.1: no port can be had for the page ({error})"))
    };
    // The system chooses the port.
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(fault)?;
    listener.set_nonblocking(true).map_err(fault)?;
    let guard = Guard::new(listener.local_addr().map_err(fault)?.port())?;
    let address = guard.address();
    let ended = Arc::new(Notify::new());
    let signs = Arc::new(AtomicU64::new(0));
    let served = Served {
        guard: Arc::new(guard),
        planner: Planner::new(desk),
        ended: Arc::clone(&ended),
        signs: Arc::clone(&signs),
        upload: Arc::new(Semaphore::new(1)),
    };
    let runtime =
        tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(fault)?;
    runtime.block_on(async move {
        let listener = tokio::net::TcpListener::from_std(listener).map_err(fault)?;
        opened(&address)?;
        tokio::spawn(accept(listener, served));
        tokio::spawn(watch(signs, Arc::clone(&ended)));
        ended.notified().await;
        // The last answer goes out.
        tokio::time::sleep(Duration::from_millis(200)).await;
        Ok(())
    })
}

async fn accept(listener: tokio::net::TcpListener, served: Served) {
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let router = router(served);
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            // Out of handles: others are closed meanwhile.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        // Beyond the room a connection is closed at once.
        let Ok(place) = Arc::clone(&room).try_acquire_owned() else { continue };
        let service = TowerToHyperService::new(router.clone());
        tokio::spawn(async move {
            let mut connection = http1::Builder::new();
            connection
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD_TIME)
                .max_buf_size(64 << 10);
            // Its faults are the other side's.
            let _ = connection.serve_connection(TokioIo::new(stream), service).await;
            drop(place);
        });
    }
}

/// Ends where the last page has been gone for a while. It counts looks, not hours: a computer that
/// slept ends nothing.
async fn watch(signs: Arc<AtomicU64>, ended: Arc<Notify>) {
    let (mut before, mut quiet) = (0, 0);
    loop {
        tokio::time::sleep(LOOK).await;
        let now = signs.load(Ordering::Relaxed);
        quiet = if now == before { quiet + 1 } else { 0 };
        before = now;
        if now > 0 && quiet >= LOOKS {
            ended.notify_one();
        }
    }
}
