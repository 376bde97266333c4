//! Opens the files of a job, and writes its routes.

use std::io;
use std::path::Path;

use crate::check;
use crate::documents::{Document, Documents};
use crate::face::seat_ports;
use crate::file::job_file::{Draft, Given, draft};
use crate::file::read::Reader;
use crate::file::stock_file::ShopFile;
use crate::file::tables::JOB;
use crate::file::{self, details_file, routes_file, stock_file, syntax};
use crate::mesh_file::Files;
use crate::model::{Job, Remnant, Units};
use crate::problem::{Problem, Problems};
use crate::rates::Rates;
use crate::routes::Routes;
use crate::source::Source;
use crate::write::write_atomic;

/// A job that was opened.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The job, checked.
    pub job: Job,
    /// What looks wrong.
    pub warnings: Problems,
    /// What the file gives.
    pub given: Given,
    /// Rates of a quote.
    pub rates: ShopRates,
    /// The name of job.toml in messages.
    pub shown: String,
}

/// Opens a job: its job.toml, its mesh files, what flange.toml says of its ports, and the shop's stock.toml.
///
/// # Errors
/// All problems of the files, when there is an error among them.
pub fn open(documents: &dyn Documents) -> Result<Opened, Problems> {
    read_documents(documents).1.opened(documents.shown("job.toml"))
}

/// Reads a job as far as it can be read, with the bytes of its job.toml when there is one.
pub fn read_documents(documents: &dyn Documents) -> (Option<Document>, Reading) {
    let file = match documents.own("job.toml") {
        Ok(Some(file)) => file,
        Ok(None) => return (None, Reading::failed(Problems::one(no_job(&documents.shown("job.toml"))))),
        Err(problems) => return (None, Reading::failed(problems)),
    };
    let shop = match documents.own_or_shops("stock.toml") {
        Ok(shop) => shop,
        Err(problems) => return (Some(file), Reading::failed(problems)),
    };
    let shop = shop.as_ref().map(|d| (d.shown.as_str(), d.bytes.as_slice()));
    let mut reading = read(&file.shown, &file.bytes, &documents.job_name(), documents.meshes(), shop);
    if let (Some(job), Ok(Some(flanges))) = (&mut reading.job, documents.own("flange.toml")) {
        // What is wrong with flange.toml is said where it is read with the job.
        let (flanges, _) = details_file::read_flanges(&flanges.shown, &flanges.bytes, None);
        seat_ports(job, &flanges.unwrap_or_default());
    }
    (Some(file), reading)
}

fn no_job(shown: &str) -> Problem {
    let message = match (Path::new(shown).file_name(), Path::new(shown).parent()) {
        (Some(name), Some(folder)) if name == "job.toml" && !folder.as_os_str().is_empty() => {
            format!("there is no job.toml in {}", folder.display())
        }
        _ => format!("there is no {shown}"),
    };
    Problem::error("no-file", message)
        .in_file(shown)
        .expected("a job's folder or its job.toml")
        .hint("check the path, or write a starter job with `tubewright new`")
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

impl Reading {
    fn failed(problems: Problems) -> Reading {
        Reading { job: None, given: Given::default(), rates: ShopRates::default(), problems }
    }

    /// The job, once nothing is wrong with it; `shown` is the name of its file in messages.
    ///
    /// # Errors
    /// All problems, when there is an error among them.
    pub fn opened(self, shown: String) -> Result<Opened, Problems> {
        let (job, warnings) = sound(self.job, self.problems)?;
        Ok(Opened { job, warnings, given: self.given, rates: self.rates, shown })
    }
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
        Err(problems) => return Reading::failed(problems),
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

    /// What a cut plan or a price needs: stock (the job's own or offered from the `shelf`), saw and cost.
    ///
    /// # Errors
    /// What is missing.
    pub fn require_cutting(&self, shelf: &[Remnant]) -> Result<(), Problems> {
        let mut missing = Vec::new();
        let stock = &self.job.stock;
        if stock.bends.is_empty() && stock.straights.is_empty() && stock.remnants.is_empty() && shelf.is_empty() {
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
        let problem = |(table, doc): (&str, &str)| {
            Problem::error("missing-table", format!("{what} needs {table}, and the job has none"))
                .in_file(&self.shown)
                .expected(format!("{table}: {doc}"))
                .hint(format!("add {table}; `tubewright new` writes a job with all of them"))
        };
        Err(Problems(missing.into_iter().map(problem).collect()))
    }
}

/// Opens the routes of a job; `None` when it has not been routed.
///
/// # Errors
/// All problems of routes.toml, when there is an error among them.
pub fn open_routes(documents: &dyn Documents, job: &Job) -> Result<Option<(Routes, Problems)>, Problems> {
    let Some(file) = documents.own("routes.toml")? else { return Ok(None) };
    routes_file::read(&file.shown, &file.bytes, job).map(Some)
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
