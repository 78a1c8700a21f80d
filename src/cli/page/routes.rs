//! What can be asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Query, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::Response;
use axum::routing::{get, post};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::json;
use tokio::sync::{Notify, Semaphore};

use super::answer::Answer;
use super::assets;
use super::desk::Desk;
use super::guard::{Guard, add_headers};
use super::planner::Planner;
use super::start;
use crate::cli::failure::Failure;

/// The most bytes of a request but a file.
const MOST_BYTES: usize = 1 << 20;
/// How long a request's body may take.
const BODY_TIME: Duration = Duration::from_secs(60);

/// What requests are answered with.
#[derive(Clone)]
pub struct Served {
    pub guard: Arc<Guard>,
    pub planner: Planner,
    /// Told when the page is to end.
    pub ended: Arc<Notify>,
    /// How many requests came from the page.
    pub signs: Arc<AtomicU64>,
    /// Held while a file comes.
    pub upload: Arc<Semaphore>,
}

/// Everything that can be asked, behind the guard.
pub fn router(served: Served) -> Router {
    Router::new()
        .route("/", get(assets::page))
        .route("/page.css", get(assets::style))
        .route("/{script}", get(assets::script))
        .route("/sheet", get(|state| ask(state, Desk::sheet)))
        .route("/plan.zip", get(|state| ask(state, Desk::archive)))
        .route("/api/state", get(|state| ask(state, Desk::state)))
        .route("/api/at", get(at))
        .route("/api/changes", get(|state| ask(state, Desk::changes)))
        .route("/api/try", post(try_edit))
        .route("/api/tried", get(tried_map))
        .route("/api/edit", post(|state, body| tell(state, body, Desk::edit)))
        .route("/api/fit", post(|state, body| tell(state, body, Desk::fit)))
        .route("/api/undo", post(|state, body| order(state, body, Desk::undo)))
        .route("/api/redo", post(|state, body| order(state, body, Desk::redo)))
        .route("/api/save", post(|state, body| tell(state, body, Desk::save)))
        .route("/api/reload", post(|state, body| order(state, body, Desk::reload)))
        .route("/api/write", post(|state, body| order(state, body, Desk::write)))
        .route("/api/open", post(|state, body| tell(state, body, Desk::open_named)))
        .route("/api/farm", get(|state| ask(state, Desk::farm)))
        .route("/api/upload", post(upload))
        .route("/api/start", post(|state, body| tell(state, body, Desk::begin)))
        .route("/api/alive", post(alive))
        .route("/api/end", post(end))
        .layer(middleware::from_fn_with_state(served.clone(), guarded))
        .with_state(served)
}

/// Lets in who may ask, and says to the browser what it may do with the answer.
async fn guarded(State(served): State<Served>, request: Request, next: Next) -> Response {
    let (path, method) = (request.uri().path().to_owned(), request.method().clone());
    let own = served.guard.check_origin(&method, request.headers());
    let key = request.uri().query().and_then(|query| query.strip_prefix("key="));
    let mut response = match (own, key) {
        (Err(refusal), _) => refusal.response(),
        (Ok(()), Some(key)) if path == "/" && served.guard.is_key(key) => {
            let mut response = Response::new(Body::empty());
            *response.status_mut() = StatusCode::SEE_OTHER;
            let headers = response.headers_mut();
            headers.insert(header::LOCATION, HeaderValue::from_static("/"));
            let cookie = HeaderValue::from_str(&served.guard.set_cookie());
            headers.extend(cookie.ok().map(|cookie| (header::SET_COOKIE, cookie)));
            response
        }
        (Ok(()), _) => match served.guard.check_cookie(request.headers()) {
            Ok(()) => {
                served.signs.fetch_add(1, Ordering::Relaxed);
                next.run(request).await
            }
            Err(refusal) => refusal.response(),
        },
    };
    add_headers(&path, response.headers_mut());
    response
}

type Asked = fn(&mut Desk) -> Result<Answer, Failure>;

async fn ask(State(served): State<Served>, what: Asked) -> Answer {
    served.planner.ask(what).await
}

/// The same of a request with a body that says nothing. It is read all the same: a connection that is
/// closed on what was not read is reset, and the answer may be lost with it.
async fn order(state: State<Served>, body: Body, what: Asked) -> Answer {
    match bytes(body, MOST_BYTES).await {
        Ok(_) => ask(state, what).await,
        Err(refused) => refused,
    }
}

async fn alive(body: Body) -> Answer {
    bytes(body, MOST_BYTES).await.map_or_else(|refused| refused, |_| Answer::json(&json!({})))
}

async fn tell<T: DeserializeOwned + Send + 'static>(
    State(served): State<Served>,
    body: Body,
    what: fn(&mut Desk, T) -> Result<Answer, Failure>,
) -> Answer {
    match read(body).await {
        Ok(value) => served.planner.ask(move |desk| what(desk, value)).await,
        Err(refused) => refused,
    }
}

async fn try_edit(State(served): State<Served>, body: Body) -> Answer {
    match read(body).await {
        Ok(edit) => served.planner.try_latest(move |desk| desk.try_edit(edit)).await,
        Err(refused) => refused,
    }
}

#[derive(Deserialize)]
struct Drawn {
    /// Whether it is shown how sure places are.
    sure: bool,
}

async fn tried_map(State(served): State<Served>, Query(Drawn { sure }): Query<Drawn>) -> Answer {
    served.planner.ask(move |desk| desk.tried_map(sure)).await
}

#[derive(Deserialize)]
struct Pixel {
    x: f64,
    y: f64,
}

async fn at(State(served): State<Served>, Query(Pixel { x, y }): Query<Pixel>) -> Answer {
    served.planner.ask(move |desk| desk.at(x, y)).await
}

#[derive(Deserialize)]
struct Named {
    name: String,
}

async fn upload(
    State(served): State<Served>,
    Query(Named { name }): Query<Named>,
    request: Request,
) -> Answer {
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|value| value.to_str().ok()?.parse::<u64>().ok()).unwrap_or(0);
    if length > start::MOST_FILE as u64 {
        return too_large(start::MOST_FILE);
    }
    // One after the other, so that memory is bounded.
    let Ok(_place) = served.upload.acquire().await else { return too_large(0) };
    match bytes(request.into_body(), start::MOST_FILE).await {
        Ok(bytes) => served.planner.ask(move |desk| desk.upload(&name, bytes)).await,
        Err(refused) => refused,
    }
}

async fn end(State(served): State<Served>, body: Body) -> Answer {
    served.ended.notify_one();
    alive(body).await
}

async fn read<T: DeserializeOwned>(body: Body) -> Result<T, Answer> {
    let bytes = bytes(body, MOST_BYTES).await?;
    serde_json::from_slice(&bytes).map_err(|error| {
        Answer::refused(
            StatusCode::BAD_REQUEST,
            &format!("the page sent what is not understood ({error})"),
        )
    })
}

async fn bytes(body: Body, most: usize) -> Result<Vec<u8>, Answer> {
    match tokio::time::timeout(BODY_TIME, to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(bytes.to_vec()),
        Ok(Err(_)) => Err(too_large(most)),
        Err(_) => Err(Answer::refused(StatusCode::REQUEST_TIMEOUT, "it took too long to come")),
    }
}

fn too_large(most: usize) -> Answer {
    let most = most >> 20;
    let said =
        format!("found more than {most} MB, expected at most that; cut the file down to the field");
    Answer::refused(StatusCode::PAYLOAD_TOO_LARGE, &said)
}
