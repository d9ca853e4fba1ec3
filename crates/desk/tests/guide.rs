//! The guide at `/help/`.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::At;

#[tokio::test]
async fn without_the_guide_its_page_says_where_to_get_it() {
    let at = At::empty();
    for path in ["/help", "/help/", "/help/desk/index.html"] {
        let answer = at.get(path).key("").send().await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        let text = answer.text();
        assert!(
            text.contains("is not installed") && text.contains("docs-book"),
            "{text}"
        );
    }
}
