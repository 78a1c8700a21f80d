//! What a request gets.

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use serde::Serialize;
use serde_json::json;

use crate::cli::failure::Failure;

/// An answer, ready to be sent from any thread.
#[derive(Debug)]
pub struct Answer {
    status: StatusCode,
    kind: &'static str,
    bytes: Vec<u8>,
    /// What a file is saved as.
    file: Option<String>,
}

impl Answer {
    /// A value as JSON.
    pub fn json(value: &impl Serialize) -> Self {
        Self::with(StatusCode::OK, value)
    }

    fn with(status: StatusCode, value: &impl Serialize) -> Self {
        let bytes = serde_json::to_vec(value).unwrap_or_default();
        Self { status, kind: "application/json", bytes, file: None }
    }

    /// Bytes of a kind.
    pub fn of_kind(kind: &'static str, bytes: impl Into<Vec<u8>>) -> Self {
        Self { status: StatusCode::OK, kind, bytes: bytes.into(), file: None }
    }

    /// Bytes that are saved as a file.
    pub fn file(kind: &'static str, name: String, bytes: Vec<u8>) -> Self {
        Self { file: Some(name), ..Self::of_kind(kind, bytes) }
    }

    /// What was asked is none of the page's questions, or more than is taken.
    pub fn refused(status: StatusCode, error: &str) -> Self {
        Self::with(status, &json!({ "error": error }))
    }

    /// What was asked cannot be done, and why: an answer like others to the browser, which tells its
    /// console of all statuses that say a fault.
    pub fn told(error: &str) -> Self {
        Self::json(&json!({ "error": error }))
    }

    /// A failure: of the input, of writing, or the program's own.
    pub fn failure(failure: &Failure) -> Self {
        match failure {
            Failure::Input(text) | Failure::Write(text) => Self::told(text),
            Failure::Ours(text) => Self::refused(StatusCode::INTERNAL_SERVER_ERROR, text),
        }
    }
}

impl From<Answer> for Response {
    fn from(answer: Answer) -> Self {
        let mut response = Response::new(Body::from(answer.bytes));
        *response.status_mut() = answer.status;
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(answer.kind));
        if let Some(name) = answer.file {
            let plain = |letter: char| {
                if letter.is_ascii_alphanumeric() || "._-".contains(letter) { letter } else { '_' }
            };
            let name: String = name.chars().map(plain).collect();
            let value = format!("attachment; filename=\"{name}\"");
            headers.extend(
                HeaderValue::from_str(&value)
                    .ok()
                    .map(|value| (header::CONTENT_DISPOSITION, value)),
            );
        }
        response
    }
}

impl axum::response::IntoResponse for Answer {
    fn into_response(self) -> Response {
        self.into()
    }
}
