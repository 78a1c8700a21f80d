//! The thread that does all work of a page, one request after the other.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::thread;

use axum::http::StatusCode;
use serde_json::json;
use tokio::sync::oneshot;

use super::answer::Answer;
use super::desk::Desk;
use crate::cli::failure::Failure;
use crate::cli::guard::guarded;

type Work = Box<dyn FnOnce(&mut Desk) + Send>;

/// Where requests go.
#[derive(Clone)]
pub struct Planner {
    queue: Sender<Work>,
    /// The number of the latest trial.
    latest: Arc<AtomicU64>,
}

impl Planner {
    /// Begins to work at a desk.
    pub fn new(mut desk: Desk) -> Self {
        let (queue, work) = mpsc::channel::<Work>();
        thread::spawn(move || {
            for work in work {
                work(&mut desk);
            }
        });
        Self { queue, latest: Arc::default() }
    }

    /// Has something done in its turn. A panic in it is a failure of it alone.
    pub async fn ask(
        &self,
        what: impl FnOnce(&mut Desk) -> Result<Answer, Failure> + Send + 'static,
    ) -> Answer {
        let (sender, answer) = oneshot::channel();
        let work: Work = Box::new(move |desk| {
            let done = guarded(|| what(desk));
            // Who asked may have gone.
            let _ = sender.send(done.unwrap_or_else(|failure| Answer::failure(&failure)));
        });
        let gone = || Answer::refused(StatusCode::SERVICE_UNAVAILABLE, "the page has ended");
        if self.queue.send(work).is_err() {
            return gone();
        }
        answer.await.unwrap_or_else(|_| gone())
    }

    /// The same for a trial, which is dropped where another was asked for before its turn came.
    pub async fn try_latest(
        &self,
        what: impl FnOnce(&mut Desk) -> Result<Answer, Failure> + Send + 'static,
    ) -> Answer {
        let number = self.latest.fetch_add(1, Ordering::Relaxed) + 1;
        let latest = Arc::clone(&self.latest);
        self.ask(move |desk| {
            if latest.load(Ordering::Relaxed) == number {
                what(desk)
            } else {
                Ok(Answer::json(&json!({ "dropped": true })))
            }
        })
        .await
    }
}
