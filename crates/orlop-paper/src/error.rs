//! Why papers could not be made.

/// What went wrong on the way to paper.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A date that is none.
    #[error("{field}: got '{got}', expected {expected}")]
    Date {
        /// Where the date came from.
        field: &'static str,
        /// What was given.
        got: String,
        /// What is accepted.
        expected: &'static str,
    },
    /// A number that a table or the core refuses.
    #[error(transparent)]
    Core(#[from] orlop::Error),
    /// The HTML template could not be filled.
    #[error("report.html: {0}")]
    Html(#[from] askama::Error),
    /// The JSON could not be written.
    #[error("boat.json: {0}")]
    Json(#[from] serde_json::Error),
}
