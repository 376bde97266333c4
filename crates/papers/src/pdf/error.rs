//! What keeps a PDF from being written.

/// Why a PDF could not be written: a bug, not a wrong job.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// A font that texts were shaped with can't be embedded.
    #[error("cannot write the PDF: a font cannot be embedded")]
    Font,
    /// A size of page that PDF does not know.
    #[error("cannot write the PDF: a page of {0} x {1} mm")]
    Page(f64, f64),
    /// The file can't be written.
    #[error("cannot write the PDF: {0}")]
    File(String),
}
