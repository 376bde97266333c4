//! Where the documents of a job are kept: a folder here, a store elsewhere.

use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use crate::file::syntax;
use crate::mesh_file::MeshFiles;
use crate::problem::{Problem, Problems};

/// Longest mesh file that is read, bytes.
const LONGEST_MESH: u64 = 1 << 30;

/// A text document, not yet parsed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// Its name in messages: the path of a file, the bare name of what a store holds.
    pub shown: String,
    /// Its bytes; of an over-long file only as many as show that it is.
    pub bytes: Vec<u8>,
}

/// The documents of one job, and those that its shop keeps for all jobs.
pub trait Documents {
    /// The job's own document called `name`; `None` when it has none.
    ///
    /// # Errors
    /// Why a document that is there cannot be read.
    fn own(&self, name: &str) -> Result<Option<Document>, Problems>;

    /// The shop's document called `name`, for all its jobs; `None` when it has none.
    ///
    /// # Errors
    /// As [`Documents::own`].
    fn shops(&self, name: &str) -> Result<Option<Document>, Problems>;

    /// The name in messages of the job's own document called `name`, whether it is there or not.
    fn shown(&self, name: &str) -> String;

    /// The job's name when job.toml gives none.
    fn job_name(&self) -> String;

    /// The mesh files that job.toml names.
    fn meshes(&self) -> &dyn MeshFiles;

    /// The job's own document called `name`, or else the shop's.
    ///
    /// # Errors
    /// As [`Documents::own`].
    fn own_or_shops(&self, name: &str) -> Result<Option<Document>, Problems> {
        match self.own(name)? {
            Some(own) => Ok(Some(own)),
            None => self.shops(name),
        }
    }
}

/// A job's folder; what the shop keeps for all its jobs lies in the folder above.
#[derive(Debug, Clone)]
pub struct Folder {
    job_file: PathBuf,
    files: FilesOf,
    stock_file: Option<PathBuf>,
}

/// The files below a folder, by their names.
#[derive(Debug, Clone)]
struct FilesOf(PathBuf);

impl MeshFiles for FilesOf {
    fn bytes(&self, name: &str) -> io::Result<Vec<u8>> {
        read_bytes(&self.0.join(name), LONGEST_MESH)
    }
}

impl Folder {
    /// The folder of a job, given as such or by its job.toml.
    pub fn of(path: &Path) -> Folder {
        let job_file = if path.is_dir() { path.join("job.toml") } else { path.to_path_buf() };
        let folder = job_file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        Folder { files: FilesOf(folder.to_path_buf()), job_file, stock_file: None }
    }

    /// The same with `file`, when given, as the shop's file of stock and prices, wherever it lies.
    pub fn with_stock(self, file: Option<&Path>) -> Folder {
        Folder { stock_file: file.map(Path::to_path_buf), ..self }
    }

    /// The path of the folder.
    pub fn path(&self) -> &Path {
        &self.files.0
    }

    /// The path of the job's own file called `name`.
    pub fn file(&self, name: &str) -> PathBuf {
        if name == "job.toml" { self.job_file.clone() } else { self.path().join(name) }
    }
}

impl Documents for Folder {
    fn own(&self, name: &str) -> Result<Option<Document>, Problems> {
        match &self.stock_file {
            Some(file) if name == "stock.toml" => read(file).map(Some),
            _ => there(&self.file(name)),
        }
    }

    fn shops(&self, name: &str) -> Result<Option<Document>, Problems> {
        // By its full path, so that `.` has a folder above it too.
        let above = self.path().canonicalize().ok().and_then(|f| f.parent().map(|above| above.join(name)));
        above.map_or(Ok(None), |file| there(&file))
    }

    fn shown(&self, name: &str) -> String {
        self.file(name).display().to_string()
    }

    fn job_name(&self) -> String {
        let folder = self.path().canonicalize().ok();
        let name = folder.as_ref().and_then(|f| f.file_name()).map(|n| n.to_string_lossy().into_owned());
        name.unwrap_or_else(|| "job".to_string())
    }

    fn meshes(&self) -> &dyn MeshFiles {
        &self.files
    }
}

/// A file as a document, when there is one.
fn there(file: &Path) -> Result<Option<Document>, Problems> {
    match fs::metadata(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        _ => read(file).map(Some),
    }
}

fn read(file: &Path) -> Result<Document, Problems> {
    let shown = file.display().to_string();
    // One byte more than is allowed: the reader of the text says that it is too long.
    match read_bytes(file, syntax::LONGEST as u64 + 1) {
        Ok(bytes) => Ok(Document { shown, bytes }),
        Err(error) => {
            let problem = Problem::error("no-file", format!("{shown} cannot be read: {error}")).in_file(shown);
            Err(Problems::one(problem.expected("a file that can be read").hint("check its path and its permissions")))
        }
    }
}

/// The first `longest` bytes of a file.
fn read_bytes(path: &Path, longest: u64) -> io::Result<Vec<u8>> {
    if fs::metadata(path)?.is_dir() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is a folder"));
    }
    let mut bytes = Vec::new();
    fs::File::open(path)?.take(longest).read_to_end(&mut bytes)?;
    Ok(bytes)
}
