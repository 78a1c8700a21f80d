//! The page itself: what the program carries with it.

use axum::extract::Path;
use axum::http::StatusCode;

use super::answer::Answer;

const SCRIPTS: [(&str, &str); 11] = [
    ("main.js", include_str!("browser/main.js")),
    ("server.js", include_str!("browser/server.js")),
    ("elements.js", include_str!("browser/elements.js")),
    ("start.js", include_str!("browser/start.js")),
    ("map.js", include_str!("browser/map.js")),
    ("breaks.js", include_str!("browser/breaks.js")),
    ("samples.js", include_str!("browser/samples.js")),
    ("areas.js", include_str!("browser/areas.js")),
    ("settings.js", include_str!("browser/settings.js")),
    ("saving.js", include_str!("browser/saving.js")),
    ("farm.js", include_str!("browser/farm.js")),
];

/// The page.
pub async fn page() -> Answer {
    Answer::of_kind("text/html; charset=utf-8", include_str!("browser/page.html"))
}

/// How it looks.
pub async fn style() -> Answer {
    Answer::of_kind("text/css; charset=utf-8", include_str!("browser/page.css"))
}

/// What it does, and its sign.
pub async fn script(Path(name): Path<String>) -> Answer {
    if name == "icon.svg" {
        return Answer::of_kind("image/svg+xml", include_str!("browser/icon.svg"));
    }
    match SCRIPTS.iter().find(|(known, _)| *known == name) {
        Some((_, text)) => Answer::of_kind("text/javascript; charset=utf-8", *text),
        None => Answer::refused(StatusCode::NOT_FOUND, "there is no such page"),
    }
}
