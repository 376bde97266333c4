//! Opens the files of a job, and writes its routes.

use std::io;
use std::path::{Path, PathBuf};

use crate::check;
use crate::file::job_file::{Draft, Given, draft};
use crate::file::read::Reader;
use crate::file::stock_file::ShopFile;
use crate::file::tables::JOB;
use crate::file::{self, routes_file, stock_file, syntax};
use crate::folder::{own_or_shops, read_bytes};
use crate::mesh_file::Files;
use crate::model::{Job, Units};
use crate::problem::{Problem, Problems};
use crate::rates::Rates;
use crate::routes::Routes;
use crate::source::Source;
use crate::write::write_atomic;

/// Longest mesh file that is read, bytes.
const LONGEST_MESH: u64 = 1 << 30;

/// A job that was opened.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The job.
    pub job: Job,
    /// What looks wrong.
    pub warnings: Problems,
    /// What the file gives.
    pub given: Given,
    /// Rates of a quote.
    pub rates: ShopRates,
    /// The file.
    pub file: PathBuf,
    /// The folder it lies in.
    pub folder: PathBuf,
}

/// How to open a job.
#[derive(Debug, Clone, Default)]
pub struct OpenSettings {
    /// The shop's file of stock; without it `stock.toml` in the job's folder or the one above.
    pub stock_file: Option<PathBuf>,
}

/// Opens a job by its folder or its job.toml.
///
/// # Errors
/// All problems of the file, when there is an error among them.
pub fn open(path: &Path) -> Result<Opened, Problems> {
    open_with(path, &OpenSettings::default())
}

/// Opens a job with settings.
///
/// # Errors
/// As [`open`].
pub fn open_with(path: &Path, settings: &OpenSettings) -> Result<Opened, Problems> {
    let file = if path.is_dir() { path.join("job.toml") } else { path.to_path_buf() };
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_path_buf();
    let shown = file.display().to_string();
    let bytes = read_bytes(&file, syntax::LONGEST as u64 + 1).map_err(|e| Problems::one(unopened(&shown, path, &e)))?;
    let name = folder
        .canonicalize()
        .ok()
        .and_then(|f| f.file_name().map(|n| n.to_string_lossy().into_owned()))
        .unwrap_or_else(|| "job".to_string());
    let files = |mesh: &str| read_bytes(&folder.join(mesh), LONGEST_MESH);
    let shop = shop_file(&folder, settings)?;
    let shop = shop.as_ref().map(|(n, b)| (n.as_str(), b.as_slice()));
    let Reading { job, given, rates, problems } = read(&shown, &bytes, &name, &files, shop);
    let (job, warnings) = sound(job, problems)?;
    Ok(Opened { job, warnings, given, rates, file, folder })
}

fn unopened(shown: &str, path: &Path, error: &io::Error) -> Problem {
    if error.kind() == io::ErrorKind::NotFound {
        let is_folder = path.is_dir();
        let message = if is_folder {
            format!("there is no job.toml in {}", path.display())
        } else {
            format!("there is no {shown}")
        };
        return Problem::error("no-file", message)
            .in_file(shown)
            .expected("a job's folder or its job.toml")
            .hint("check the path, or write a starter job with `tubewright new`");
    }
    Problem::error("no-file", format!("{shown} cannot be read: {error}"))
        .in_file(shown)
        .expected("a job's folder or its job.toml")
}

/// Name and bytes of the shop's file that holds for a job in `folder`.
fn shop_file(folder: &Path, settings: &OpenSettings) -> Result<Option<(String, Vec<u8>)>, Problems> {
    let longest = syntax::LONGEST as u64 + 1;
    if let Some(path) = &settings.stock_file {
        let shown = path.display().to_string();
        let bytes = read_bytes(path, longest).map_err(|e| {
            Problems::one(
                Problem::error("no-file", format!("{shown} cannot be read: {e}"))
                    .in_file(&shown)
                    .expected("a file of stock and prices"),
            )
        })?;
        return Ok(Some((shown, bytes)));
    }
    let Some(path) = own_or_shops(folder, "stock.toml") else { return Ok(None) };
    let shown = path.display().to_string();
    let bytes = read_bytes(&path, longest).map_err(|e| {
        Problems::one(Problem::error("no-file", format!("{shown} cannot be read: {e}")).in_file(&shown))
    })?;
    Ok(Some((shown, bytes)))
}

/// The rates of a quote that hold for a job.
#[derive(Debug, Clone, Default)]
pub struct ShopRates {
    rates: Rates,
    /// What is wrong with the shop's file.
    problems: Problems,
}

impl ShopRates {
    /// The program's own rates, with those of the shop's file in their places.
    ///
    /// # Errors
    /// All problems of the shop's file, when there is an error among them.
    pub fn checked(&self) -> Result<&Rates, Problems> {
        if self.problems.has_errors() { Err(self.problems.clone()) } else { Ok(&self.rates) }
    }
}

/// What was read of a job.
#[derive(Debug)]
pub struct Reading {
    /// The job, once every value of its file can be read; it can be shown, though it need not hold together.
    pub job: Option<Job>,
    /// What the file gives.
    pub given: Given,
    /// Rates of a quote.
    pub rates: ShopRates,
    /// What is wrong with it, and what only looks wrong.
    pub problems: Problems,
}

/// The job with its warnings, where nothing is wrong with it.
fn sound(job: Option<Job>, problems: Problems) -> Result<(Job, Problems), Problems> {
    match job {
        Some(job) if !problems.has_errors() => Ok((job, problems)),
        _ => Err(problems),
    }
}

/// Reads a job as [`read`] does, for those who need it whole.
///
/// # Errors
/// All problems, when there is an error among them.
pub fn read_job(
    shown: &str,
    bytes: &[u8],
    name: &str,
    files: Files<'_>,
    shop: Option<(&str, &[u8])>,
) -> Result<(Job, Problems, Given), Problems> {
    let Reading { job, given, problems, .. } = read(shown, bytes, name, files, shop);
    sound(job, problems).map(|(job, warnings)| (job, warnings, given))
}

/// Reads a job from the bytes of its file: `shown` is the file's name in messages, `name` the job's
/// when it gives none, `files` reads the meshes, `shop` is the shop's file of stock.
pub fn read(shown: &str, bytes: &[u8], name: &str, files: Files<'_>, shop: Option<(&str, &[u8])>) -> Reading {
    let text = match syntax::decode(shown, bytes) {
        Ok(text) => text,
        Err(problems) => {
            return Reading { job: None, given: Given::default(), rates: ShopRates::default(), problems };
        }
    };
    let source = Source::new(shown, text);
    let tree = syntax::settle(&source);
    let text = tree.text.clone();
    let root = syntax::parse(&text);
    let units = file::units(root.get_ref()).unwrap_or(Units::Mm);
    let mut reader = Reader::new(&source, units, tree);
    let record = reader.file(&JOB, &root);
    file::say_defaults(&mut reader, &record);
    let mut draft = draft(&mut reader, record, name, files);
    let tube = draft.given.tube.then_some(&draft.job.primary.tube);
    let shop = shop.map(|(name, bytes)| stock_file::read(name, bytes, tube));
    let needs_shop = !(draft.given.stock && draft.given.saw && draft.given.cost);
    let rates = shop.map_or_else(ShopRates::default, |shop| take_shop(&mut draft, shop));
    let readable = !reader.broken && !reader.problems.iter().any(Problem::is_error);
    if !reader.broken {
        check::whole(&mut reader, &draft);
    }
    let mut problems = Problems(reader.finish());
    if needs_shop {
        problems.0.extend(rates.problems.0.iter().cloned());
    }
    problems.sort();
    Reading { job: readable.then_some(draft.job), given: draft.given, rates, problems }
}

/// Takes from the shop's file what the job does not give itself; the rates are left.
fn take_shop(draft: &mut Draft, shop: ShopFile) -> ShopRates {
    if !draft.given.stock
        && let Some(stock) = shop.stock
    {
        draft.given.stock = true;
        draft.stock_whole = stock.whole;
        draft.job.stock = stock.stock;
    }
    if !draft.given.saw
        && let Some(saw) = shop.saw
    {
        draft.given.saw = true;
        draft.job.saw = saw;
    }
    if !draft.given.cost
        && let Some(cost) = shop.cost
    {
        draft.given.cost = true;
        draft.job.cost = cost;
    }
    ShopRates { rates: shop.rates, problems: Problems(shop.problems) }
}

impl Opened {
    /// What a routing of the job needs: ports, collectors, gaps and bends.
    ///
    /// # Errors
    /// What is missing.
    pub fn require_routing(&self) -> Result<(), Problems> {
        let mut missing = Vec::new();
        if self.job.ports.is_empty() {
            missing.push(("[[port]]", "where each exhaust port is and which way it blows"));
        }
        if self.job.collectors.is_empty() {
            missing.push(("[[collector]]", "where the runs go"));
        }
        if !self.given.clearance {
            missing.push(("[clearance]", "the gaps to keep between tubes and to keep-outs"));
        }
        if self.job.stock.bends.is_empty() {
            missing.push(("[[stock.bend]]", "the bends that the runs may be made of (here or in a stock.toml)"));
        }
        self.missing(missing, "routing")
    }

    /// What a cut plan or a price needs: stock, saw and cost.
    ///
    /// # Errors
    /// What is missing.
    pub fn require_cutting(&self) -> Result<(), Problems> {
        let mut missing = Vec::new();
        let stock = &self.job.stock;
        if stock.bends.is_empty() && stock.straights.is_empty() && stock.remnants.is_empty() {
            missing.push(("[stock]", "what the pieces can be cut from (here or in a stock.toml)"));
        }
        if !self.given.saw {
            missing.push(("[saw]", "the kerf and what the saw can hold"));
        }
        if !self.given.cost {
            missing.push(("[cost]", "money per joint and cut"));
        }
        self.missing(missing, "cutting")
    }

    fn missing(&self, missing: Vec<(&str, &str)>, what: &str) -> Result<(), Problems> {
        if missing.is_empty() {
            return Ok(());
        }
        let file = self.file.display().to_string();
        let problem = |(table, doc): (&str, &str)| {
            Problem::error("missing-table", format!("{what} needs {table}, and the job has none"))
                .in_file(&file)
                .expected(format!("{table}: {doc}"))
                .hint(format!("add {table}; `tubewright new` writes a job with all of them"))
        };
        Err(Problems(missing.into_iter().map(problem).collect()))
    }
}

/// Opens the routes of a job: `routes.toml` in its folder, or the given file.
///
/// # Errors
/// All problems of the file, when there is an error among them.
pub fn open_routes(path: &Path, job: &Job) -> Result<(Routes, Problems), Problems> {
    let file = if path.is_dir() { path.join("routes.toml") } else { path.to_path_buf() };
    let shown = file.display().to_string();
    let bytes = read_bytes(&file, syntax::LONGEST as u64 + 1).map_err(|error| {
        let problem = Problem::error("no-file", format!("{shown} cannot be read: {error}")).in_file(&shown);
        Problems::one(problem.expected("the routes of the job").hint("route the job first: `tubewright route`"))
    })?;
    routes_file::read(&shown, &bytes, job)
}

/// Writes the routes of a job into a file, the old one staying whole until the new one is.
///
/// # Errors
/// What the system says.
pub fn write_routes(file: &Path, routes: &Routes, units: Units) -> io::Result<()> {
    write_atomic(file, routes_text(routes, units).as_bytes())
}

/// The text of `routes.toml`.
pub fn routes_text(routes: &Routes, units: Units) -> String {
    routes_file::write(routes, units)
}
