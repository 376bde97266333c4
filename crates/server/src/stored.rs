//! The documents of a job as the store has them.

use std::collections::BTreeMap;

use job::{Document, Documents, MeshFiles, Problem, Problems};

/// Texts by their names.
pub type Texts = BTreeMap<String, Vec<u8>>;

/// The documents of one revision of a job, its texts fetched, and those of the shop.
pub struct StoredDocuments<'a> {
    /// Name of the job.
    pub name: &'a str,
    /// The texts of the revision.
    pub texts: &'a Texts,
    /// Names of documents that the revision has and the store has lost.
    pub lost: &'a [String],
    /// What the shop keeps for all its jobs.
    pub shops: &'a Texts,
    /// The mesh files of the revision.
    pub meshes: &'a dyn MeshFiles,
}

impl Documents for StoredDocuments<'_> {
    fn own(&self, name: &str) -> Result<Option<Document>, Problems> {
        if self.lost.iter().any(|lost| lost == name) {
            Err(Problems::one(lost(name)))
        } else {
            Ok(document(self.texts, name))
        }
    }

    fn shops(&self, name: &str) -> Result<Option<Document>, Problems> {
        Ok(document(self.shops, name))
    }

    fn shown(&self, name: &str) -> String {
        name.to_string()
    }

    fn job_name(&self) -> String {
        self.name.to_string()
    }

    fn meshes(&self) -> &dyn MeshFiles {
        self.meshes
    }
}

fn document(texts: &Texts, name: &str) -> Option<Document> {
    texts.get(name).map(|bytes| Document { shown: name.to_string(), bytes: bytes.clone() })
}

/// What is wrong with a document that the store has lost.
fn lost(name: &str) -> Problem {
    Problem::error("document-lost", format!("the store has lost what {name} held"))
        .in_file(name)
        .expected("a document that can be read")
        .hint("undo to an earlier revision, write the document again, or restore a backup of the store")
}
