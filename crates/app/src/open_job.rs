//! Opens a job: every document of it, wherever they are kept, read as far as it can be read.
//!
//! What one part needs is not refused for what is wrong with another: a quote's terms do not matter to the router. So the
//! problems are kept by [`JobPart`], and `require_*` gives a part or everything that is wrong with it.

use cutplan::file::PlanFile;
use cutplan::quote::{Quote, quote};
use cutplan::{CutJob, CutPlan};
use job::file::syntax::decode;
use job::file::{routes_file, stock_file};
use job::model::{Job, Remnant};
use job::parts::misplaced;
use job::rates::{Extra, Origin, Rates};
use job::routes::{Routes, RunId};
use job::{Document, Documents, JobExtras, Opened, Problem, Problems, read_documents, read_extras};

use crate::quote_file::QuoteFile;
use crate::saved_plan::{Saved, saved_plan};
use crate::shelf::{ShelfOffer, remnants};
use crate::tree::{ParsedToml, TomlTree};

/// Names of the documents of a job that are texts, and what each is.
pub const TEXTS: [(&str, &str); 14] = [
    ("job.toml", "what was measured and wanted"),
    ("survey.toml", "what was measured by tape, rule and level"),
    ("survey.json", "places of the survey, and what of them was written into the job"),
    ("routes.toml", "where every run goes"),
    ("attempt.toml", "the closest attempt of a search that did not meet every requirement"),
    ("cutplan.json", "what is cut from what"),
    ("shelf.json", "what was on the shelf when it was cut"),
    ("fit.toml", "what was cut, welded and measured of the build"),
    ("asbuilt.toml", "where every run goes as built"),
    ("flange.toml", "flanges"),
    ("templates.toml", "copes, mitres and other templates"),
    ("bender.toml", "the bending machine"),
    ("rates.toml", "prices and times of this job's quote"),
    ("terms.txt", "terms for the customer"),
];

/// Longest terms for the customer, characters: twelve close pages. They are set on every quote.
pub const LONGEST_TERMS: usize = 40_000;

/// Whether terms can be set on a quote.
///
/// # Errors
/// How long they are, in words.
pub fn sound_terms(text: &str) -> Result<(), String> {
    match text.chars().count() {
        ..=LONGEST_TERMS => Ok(()),
        count => Err(format!("the terms have {count} characters")),
    }
}

/// A part of a job that is read apart from the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobPart {
    /// job.toml, its mesh files, and what it takes from stock.toml.
    Job,
    /// Prices and times: stock.toml and rates.toml.
    Rates,
    /// flange.toml, templates.toml, bender.toml.
    Extras,
    /// terms.txt.
    Terms,
    /// routes.toml.
    Routes,
    /// cutplan.json and shelf.json.
    Plan,
    /// fit.toml.
    Fit,
}

/// A job as its documents say it.
#[derive(Debug)]
pub struct OpenJob {
    /// The text of job.toml.
    pub text: String,
    /// The file with its places; `None` when it is no TOML.
    pub parsed: Option<ParsedToml>,
    /// Its tree; `None` when it is no TOML.
    pub tree: Option<TomlTree>,
    /// The job; `None` when job.toml has errors.
    pub opened: Option<Opened>,
    /// A job that can be read but does not hold together: to be shown and fixed, nothing more.
    pub unsound: Option<Job>,
    /// Routes of its runs; `None` without a sound routes.toml.
    pub routes: Option<Routes>,
    /// The closest attempt of the last search, when that met less than every requirement.
    pub attempt: Option<Routes>,
    /// Its cut plan, of these routes or not.
    pub plan: Option<CutPlan>,
    /// Why the plan does not belong to the routes and the stock.
    pub stale: Option<String>,
    /// What was on the shelf when it was cut.
    pub shelf: Vec<ShelfOffer>,
    /// Rates of its quote: the program's, the shop's, the job's.
    pub rates: Rates,
    /// Lines that its own rates.toml adds to the quote, in the order of that file.
    pub own_extras: Vec<Extra>,
    /// Flanges, templates, the bending machine.
    pub beside: JobExtras,
    /// Terms for the customer, the job's own or else the shop's.
    pub terms: Option<String>,
    /// The record of the build, as it is stored.
    pub fit: Option<Document>,
    /// The text of routes.toml as it is stored; empty without one.
    pub routes_text: String,
    /// The text of cutplan.json as it is stored; empty without one.
    pub plan_text: String,
    /// Everything that is wrong, by part.
    problems: Vec<(JobPart, Problem)>,
    /// Name of routes.toml in messages.
    routes_shown: String,
}

/// A job with a cut plan of its routes, ready to be printed or exported.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// The job with its rates, its terms and all else.
    pub open: &'a OpenJob,
    /// What job.toml says.
    pub opened: &'a Opened,
    /// Routes of its runs.
    pub routes: &'a Routes,
    /// The cut plan.
    pub plan: &'a CutPlan,
    /// The text of cutplan.json as it is stored.
    pub plan_text: &'a str,
}

/// Opens the job whose documents these are.
pub fn open(documents: &dyn Documents) -> OpenJob {
    let (file, reading) = read_documents(documents);
    let text = file.map(|d| String::from_utf8_lossy(&d.bytes).into_owned());
    let parsed = text.as_deref().and_then(ParsedToml::of);
    let mut open = OpenJob {
        tree: parsed.as_ref().map(ParsedToml::tree),
        parsed,
        text: text.unwrap_or_default(),
        opened: None,
        unsound: None,
        routes: None,
        attempt: None,
        plan: None,
        stale: None,
        shelf: Vec::new(),
        rates: Rates::default(),
        own_extras: Vec::new(),
        beside: JobExtras::default(),
        terms: None,
        fit: None,
        routes_text: String::new(),
        plan_text: String::new(),
        problems: Vec::new(),
        routes_shown: documents.shown("routes.toml"),
    };
    open.note(JobPart::Job, reading.problems.0.iter().cloned());
    let rates = reading.rates.clone();
    if reading.problems.has_errors() {
        open.unsound = reading.job;
    } else {
        open.opened = reading.opened(documents.shown("job.toml")).ok();
    }
    match rates.checked() {
        Ok(rates) => open.rates = rates.clone(),
        Err(problems) => open.note(JobPart::Rates, problems.0.into_iter().filter(Problem::is_error)),
    }
    open.read_own_rates(documents);
    let (extras, wrong) = read_extras(documents, open.opened.as_ref().map(|o| &o.job));
    open.beside = extras;
    open.note(JobPart::Extras, wrong.0);
    open.read_terms(documents);
    open.fit = open.found(JobPart::Fit, documents.own("fit.toml"));
    open.read_routes(documents);
    open.read_attempt(documents);
    open.read_shelf(documents);
    open.read_plan(documents);
    open
}

impl OpenJob {
    fn note(&mut self, part: JobPart, problems: impl IntoIterator<Item = Problem>) {
        self.problems.extend(problems.into_iter().map(|problem| (part, problem)));
    }

    /// A document, one that cannot be read being a problem of that part.
    fn found(&mut self, part: JobPart, file: Result<Option<Document>, Problems>) -> Option<Document> {
        file.unwrap_or_else(|problems| {
            self.note(part, problems.0);
            None
        })
    }

    fn read_own_rates(&mut self, documents: &dyn Documents) {
        let Some(file) = self.found(JobPart::Rates, documents.own("rates.toml")) else { return };
        let tube = self.opened.as_ref().filter(|o| o.given.tube).map(|o| &o.job.primary.tube);
        let own = stock_file::read(&file.shown, &file.bytes, tube);
        self.note(JobPart::Rates, own.problems.into_iter().filter(Problem::is_error));
        self.own_extras.clone_from(&own.rates.extras);
        override_rates(&mut self.rates, own.rates);
    }

    fn read_terms(&mut self, documents: &dyn Documents) {
        let Some(file) = self.found(JobPart::Terms, documents.own_or_shops("terms.txt")) else { return };
        let text = match decode(&file.shown, &file.bytes) {
            Ok(text) => text,
            Err(problems) => return self.note(JobPart::Terms, problems.0),
        };
        match sound_terms(&text) {
            Ok(()) => self.terms = Some(text),
            Err(why) => self.note(
                JobPart::Terms,
                [Problem::error("too-many", why)
                    .in_file(file.shown)
                    .expected(format!("at most {LONGEST_TERMS} characters: some pages"))
                    .hint("shorten the terms, or hand them over as a sheet of their own")],
            ),
        }
    }

    fn read_routes(&mut self, documents: &dyn Documents) {
        let Some(file) = self.found(JobPart::Routes, documents.own("routes.toml")) else { return };
        self.routes_text = String::from_utf8_lossy(&file.bytes).into_owned();
        let Some(opened) = &self.opened else { return };
        match routes_file::read(&file.shown, &file.bytes, &opened.job) {
            Ok((routes, warnings)) => {
                let misplaced = misplaced(&opened.job, &routes).into_iter().map(|p| p.in_file("job.toml").as_warning());
                let warnings = warnings.0.into_iter().chain(misplaced).collect::<Vec<_>>();
                self.routes = Some(routes);
                self.note(JobPart::Routes, warnings);
            }
            Err(problems) => self.note(JobPart::Routes, problems.0),
        }
    }

    /// An attempt that no longer fits the job is left out: it is advice, not work of a person.
    fn read_attempt(&mut self, documents: &dyn Documents) {
        let (Ok(Some(file)), Some(opened)) = (documents.own("attempt.toml"), &self.opened) else { return };
        self.attempt = routes_file::read(&file.shown, &file.bytes, &opened.job).ok().map(|(routes, _)| routes);
    }

    fn read_shelf(&mut self, documents: &dyn Documents) {
        let Some(file) = self.found(JobPart::Plan, documents.own("shelf.json")) else { return };
        match ShelfOffer::read_all(&file.bytes) {
            Ok(shelf) => self.shelf = shelf,
            Err(why) => self.note(
                JobPart::Plan,
                [Problem::error("shelf", format!("{} cannot be read: {why}", file.shown))
                    .in_file(file.shown)
                    .expected("what was on the shelf when the job was cut")
                    .hint("cut the job again")],
            ),
        }
    }

    fn read_plan(&mut self, documents: &dyn Documents) {
        let Some(file) = self.found(JobPart::Plan, documents.own("cutplan.json")) else { return };
        self.plan_text = String::from_utf8_lossy(&file.bytes).into_owned();
        let Some(opened) = &self.opened else { return };
        let Some(routes) = &self.routes else {
            self.stale = Some("there are no routes to it".into());
            return;
        };
        let offered = self.offered();
        match saved_plan(&self.plan_text, &CutJob::with_shelf(&opened.job, &offered), routes, opened.job.units) {
            Saved::Fits(plan) => self.plan = Some(*plan),
            Saved::Stale(why) => {
                self.plan = PlanFile::from_json(&self.plan_text).ok().and_then(|f| f.to_plan().ok());
                self.stale = Some(why);
            }
            Saved::Broken(why) => self.note(
                JobPart::Plan,
                [Problem::error("cutplan", format!("{} is no cut plan: {why}", file.shown))
                    .in_file(file.shown)
                    .expected("a cut plan as `tubewright cut` writes it")
                    .hint("delete it, or cut the job again")],
            ),
        }
        self.stale = self.stale.take().or_else(|| self.unplaced());
    }

    /// Why the routes no longer belong to the job: a port or collector of theirs was deleted. A job with neither is one of
    /// trial pieces.
    fn unplaced(&self) -> Option<String> {
        let (job, routes) = (&self.opened.as_ref()?.job, self.routes.as_ref()?);
        if job.ports.is_empty() && job.collectors.is_empty() {
            return None;
        }
        routes.runs.iter().find_map(|route| match &route.run {
            RunId::Primary { cylinder } if job.ports.iter().all(|p| p.cylinder != *cylinder) => {
                Some(format!("the job has no port of cylinder {cylinder} any more"))
            }
            run if !route.collector.is_empty() && job.collectors.iter().all(|c| c.name != route.collector) => {
                Some(format!("{run} ends at collector \"{}\", which the job no longer has", route.collector))
            }
            _ => None,
        })
    }

    /// Everything that is wrong with any document, each only once.
    pub fn problems(&self) -> Problems {
        let mut all: Vec<Problem> = Vec::new();
        for (_, problem) in &self.problems {
            if !all.contains(problem) {
                all.push(problem.clone());
            }
        }
        Problems(all)
    }

    /// What is wrong with some parts.
    fn problems_of(&self, parts: &[JobPart]) -> Problems {
        Problems(self.problems.iter().filter(|(part, _)| parts.contains(part)).map(|(_, p)| p.clone()).collect())
    }

    /// What looks wrong with a part and is no error.
    pub fn warnings(&self, part: JobPart) -> Problems {
        let mut problems = self.problems_of(&[part]);
        problems.0.retain(|p| !p.is_error());
        problems
    }

    /// Makes sure that nothing is wrong with some parts; they may be missing.
    ///
    /// # Errors
    /// All their problems, when there is an error among them.
    pub fn require(&self, parts: &[JobPart]) -> Result<(), Problems> {
        let problems = self.problems_of(parts);
        if problems.has_errors() { Err(problems) } else { Ok(()) }
    }

    /// The job.
    ///
    /// # Errors
    /// All problems of job.toml and what belongs to it, when there is an error among them.
    pub fn require_job(&self) -> Result<&Opened, Problems> {
        self.opened.as_ref().ok_or_else(|| self.problems_of(&[JobPart::Job]))
    }

    /// The job, once it holds all that a cut plan needs.
    ///
    /// # Errors
    /// As [`OpenJob::require_job`], or what is missing.
    pub fn require_cutting(&self) -> Result<&Opened, Problems> {
        let opened = self.require_job()?;
        // Where the first pieces start stands in flange.toml.
        self.require(&[JobPart::Extras])?;
        opened.require_cutting(&self.offered())?;
        Ok(opened)
    }

    /// The rates of its quote.
    ///
    /// # Errors
    /// All problems of stock.toml and rates.toml, when there is an error among them.
    pub fn require_rates(&self) -> Result<&Rates, Problems> {
        self.require(&[JobPart::Rates]).map(|()| &self.rates)
    }

    /// Flanges, templates, the bending machine.
    ///
    /// # Errors
    /// All problems of their files, when there is an error among them.
    pub fn require_extras(&self) -> Result<&JobExtras, Problems> {
        self.require(&[JobPart::Extras]).map(|()| &self.beside)
    }

    /// Terms for the customer, when the job or its shop has some.
    ///
    /// # Errors
    /// All problems of terms.txt, when there is an error among them.
    pub fn require_terms(&self) -> Result<Option<&str>, Problems> {
        self.require(&[JobPart::Terms]).map(|()| self.terms.as_deref())
    }

    /// The routes; `None` when the job has not been routed.
    ///
    /// # Errors
    /// All problems of routes.toml, when there is an error among them.
    pub fn saved_routes(&self) -> Result<Option<&Routes>, Problems> {
        self.require(&[JobPart::Routes]).map(|()| self.routes.as_ref())
    }

    /// The routes.
    ///
    /// # Errors
    /// All problems of routes.toml, or that there is none.
    pub fn require_routes(&self) -> Result<&Routes, Problems> {
        self.saved_routes()?.ok_or_else(|| {
            let problem = Problem::error("no-file", format!("there is no {}", self.routes_shown));
            let problem = problem.in_file(&self.routes_shown).expected("the routes of the job");
            Problems::one(problem.hint("route the job first: `tubewright route`"))
        })
    }

    /// The plan when it belongs to the routes and the stock; `None` when the job is to be cut.
    ///
    /// # Errors
    /// All problems of cutplan.json and shelf.json, when there is an error among them.
    pub fn require_plan(&self) -> Result<Option<&CutPlan>, Problems> {
        self.require(&[JobPart::Plan]).map(|()| self.fresh_plan())
    }

    /// What the shelf offers to the plan.
    pub fn offered(&self) -> Vec<Remnant> {
        remnants(&self.shelf)
    }

    /// The plan when it belongs to the routes and the stock.
    pub fn fresh_plan(&self) -> Option<&CutPlan> {
        self.plan.as_ref().filter(|_| self.stale.is_none())
    }

    /// The job with its saved plan, when that belongs to the routes and the stock.
    pub fn planned(&self) -> Option<Planned<'_>> {
        self.planned_by(self.fresh_plan()?, &self.plan_text).ok()
    }

    /// The job with a plan of its routes, saved or just made.
    ///
    /// # Errors
    /// As [`OpenJob::require_job`] and [`OpenJob::require_routes`].
    pub fn planned_by<'a>(&'a self, plan: &'a CutPlan, plan_text: &'a str) -> Result<Planned<'a>, Problems> {
        let (opened, routes) = (self.require_job()?, self.require_routes()?);
        Ok(Planned { open: self, opened, routes, plan, plan_text })
    }

    /// The quote, when the job has been cut and can be priced.
    pub fn quote(&self) -> Option<QuoteFile> {
        let planned = self.planned()?;
        planned.quote().map(|quote| QuoteFile::of(&quote, planned.opened.job.units))
    }

    /// Whether there are ports and collectors to judge routes by.
    pub fn routable(&self) -> bool {
        self.opened.as_ref().is_some_and(|o| !o.job.ports.is_empty() && !o.job.collectors.is_empty())
    }

    /// The job as it can be shown, whether it holds together or not.
    pub fn shown(&self) -> Option<&Job> {
        self.opened.as_ref().map(|o| &o.job).or(self.unsound.as_ref())
    }

    /// The mesh file of each keep-out, `None` for those of another shape.
    pub fn mesh_files(&self) -> Vec<Option<String>> {
        let keepouts = self.tree.as_ref().and_then(|t| t.get("keepout")).map_or(&[][..], TomlTree::items);
        keepouts.iter().map(|k| k.get("file").and_then(TomlTree::text).map(str::to_string)).collect()
    }
}

impl Planned<'_> {
    /// The quote, when the job can be priced.
    pub fn quote(&self) -> Option<Quote> {
        quote(&self.opened.job, self.routes, self.plan, &self.open.rates).ok()
    }
}

/// Puts what `own` gives in the place of the same in `rates`.
fn override_rates(rates: &mut Rates, own: Rates) {
    for price in own.prices.into_iter().filter(|p| p.origin == Origin::Shop) {
        rates.set_price(&price.key, price.price);
    }
    for time in own.times.into_iter().filter(|t| t.origin == Origin::Shop) {
        rates.set_time(&time.key, time.value);
    }
    if own.currency != Rates::default().currency {
        rates.currency = own.currency;
    }
    rates.collector = own.collector.or(rates.collector);
    rates.extras.extend(own.extras);
}
