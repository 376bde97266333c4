//! Reads a job from the texts of its documents, wherever they are kept: what `job::open` does for a folder.
//!
//! Everything that is wrong is said; what can still be read is there.

use std::collections::BTreeMap;

use cutplan::CutPlan;
use cutplan::file::PlanFile;
use cutplan::quote::{Quote, quote};
use job::file::{bender_file, details_file, routes_file, stock_file};
use job::model::Job;
use job::rates::{Extra, Origin, Rates};
use job::routes::Routes;
use job::{JobExtras, MeshFiles, Opened, Problem, Problems};

use crate::price_job::{Saved, saved_plan};
use crate::shelf::{Offered, offer};
use crate::tree::Tree;

/// Names of the documents of a job that are texts, and what each is.
pub const TEXTS: [(&str, &str); 9] = [
    ("job.toml", "what was measured and wanted"),
    ("routes.toml", "where every run goes"),
    ("cutplan.json", "what is cut from what"),
    ("shelf.json", "what was on the shelf when it was cut"),
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

/// A job as its documents say it.
#[derive(Debug)]
pub struct JobTexts {
    /// The text of job.toml.
    pub text: String,
    /// Its tree; `None` when it is no TOML.
    pub tree: Option<Tree>,
    /// Everything that is wrong with any document.
    pub problems: Problems,
    /// The job; `None` when job.toml has errors.
    pub opened: Option<Opened>,
    /// A job that can be read but does not hold together: to be shown and mended, nothing more.
    pub unsound: Option<Job>,
    /// The routes.
    pub routes: Option<Routes>,
    /// Its cut plan, of these routes or not.
    pub plan: Option<CutPlan>,
    /// Why the plan does not belong to the routes and the stock.
    pub stale: Option<String>,
    /// What was on the shelf when it was cut.
    pub shelf: Vec<Offered>,
    /// Rates of its quote: the program's, the shop's, the job's.
    pub rates: Rates,
    /// Lines that its own rates.toml adds to the quote, in the order of that file.
    pub own_extras: Vec<Extra>,
    /// Flanges, templates, the bending machine.
    pub beside: JobExtras,
    /// The job's own terms for the customer.
    pub terms: Option<String>,
    /// The text of routes.toml as it is stored; empty without one.
    pub routes_text: String,
    /// The text of cutplan.json as it is stored; empty without one.
    pub plan_text: String,
}

/// Texts by their names.
pub type Texts = BTreeMap<String, Vec<u8>>;

/// Reads a job called `name`; `shop` is the shop's stock.toml.
pub fn read(name: &str, texts: &Texts, shop: Option<&str>, meshes: &dyn MeshFiles) -> JobTexts {
    let bytes = texts.get("job.toml").map_or(&[][..], Vec::as_slice);
    let text = String::from_utf8_lossy(bytes).into_owned();
    let mut read = JobTexts {
        tree: Tree::of(&text),
        text,
        problems: Problems::default(),
        opened: None,
        unsound: None,
        routes: None,
        plan: None,
        stale: None,
        shelf: Vec::new(),
        rates: Rates::default(),
        own_extras: Vec::new(),
        beside: JobExtras::default(),
        terms: None,
        routes_text: stored(texts, "routes.toml"),
        plan_text: stored(texts, "cutplan.json"),
    };
    read.read_terms(texts);
    let found = job::read("job.toml", bytes, name, meshes, shop.map(|s| ("stock.toml", s.as_bytes())));
    read.problems = found.problems.clone();
    match found.job {
        Some(job) if !found.problems.has_errors() => {
            let (warnings, given, rates) = (found.problems, found.given, found.rates.clone());
            read.opened = Some(Opened { job, warnings, given, rates, file: "job.toml".into(), folder: ".".into() });
        }
        unsound => read.unsound = unsound,
    }
    match found.rates.checked() {
        Ok(rates) => read.rates = rates.clone(),
        Err(problems) => read.problems.0.extend(problems.0.into_iter().filter(Problem::is_error)),
    }
    read.read_own_rates(texts);
    read.read_beside(texts);
    read.read_routes(texts);
    read.read_plan(texts);
    read.problems.0.dedup();
    read
}

/// The text of a document; empty when there is none.
fn stored(texts: &Texts, name: &str) -> String {
    texts.get(name).map_or(String::new(), |bytes| String::from_utf8_lossy(bytes).into_owned())
}

impl JobTexts {
    fn read_terms(&mut self, texts: &Texts) {
        let Some(bytes) = texts.get("terms.txt") else { return };
        let text = String::from_utf8_lossy(bytes);
        match sound_terms(&text) {
            Ok(()) => self.terms = Some(text.into_owned()),
            Err(why) => {
                let problem = Problem::error("too-many", why).in_file("terms.txt");
                let problem = problem.expected(format!("at most {LONGEST_TERMS} characters: some pages"));
                self.problems.0.push(problem.hint("shorten the terms, or hand them over as a paper of their own"));
            }
        }
    }

    fn read_own_rates(&mut self, texts: &Texts) {
        let tube = self.opened.as_ref().filter(|o| o.given.tube).map(|o| &o.job.primary.tube);
        if let Some(own) = texts.get("rates.toml") {
            let own = stock_file::read("rates.toml", own, tube);
            self.problems.0.extend(own.problems.into_iter().filter(Problem::is_error));
            self.own_extras.clone_from(&own.rates.extras);
            override_rates(&mut self.rates, own.rates);
        }
    }

    fn read_beside(&mut self, texts: &Texts) {
        if let Some(bytes) = texts.get("templates.toml") {
            let (details, said) = details_file::read_templates("templates.toml", bytes);
            self.beside.details = details.unwrap_or_default();
            self.problems.0.extend(said);
        }
        if let Some(bytes) = texts.get("flange.toml") {
            let (flanges, said) = details_file::read_flanges("flange.toml", bytes);
            self.beside.details.flanges = flanges.unwrap_or_default();
            self.problems.0.extend(said);
        }
        if let Some(bytes) = texts.get("bender.toml") {
            let (bender, said) = bender_file::read("bender.toml", bytes);
            self.beside.bender = bender;
            self.problems.0.extend(said);
        }
    }

    fn read_routes(&mut self, texts: &Texts) {
        let (Some(opened), Some(bytes)) = (&self.opened, texts.get("routes.toml")) else { return };
        match routes_file::read("routes.toml", bytes, &opened.job) {
            Ok((routes, warnings)) => {
                self.problems.0.extend(warnings.0);
                self.routes = Some(routes);
            }
            Err(problems) => self.problems.0.extend(problems.0),
        }
    }

    fn read_plan(&mut self, texts: &Texts) {
        if let Some(bytes) = texts.get("shelf.json") {
            match Offered::read_all(bytes) {
                Ok(shelf) => self.shelf = shelf,
                Err(why) => {
                    let problem = Problem::error("shelf", format!("shelf.json cannot be read: {why}"));
                    let problem = problem.in_file("shelf.json").expected("what was on the shelf when the job was cut");
                    self.problems.0.push(problem.hint("cut the job again"));
                }
            }
        }
        let (Some(opened), Some(bytes)) = (&mut self.opened, texts.get("cutplan.json")) else { return };
        offer(&mut opened.job, &self.shelf);
        let text = String::from_utf8_lossy(bytes);
        let Some(routes) = &self.routes else {
            self.stale = Some("there are no routes to it".into());
            return;
        };
        match saved_plan(&text, &opened.job, routes) {
            Saved::Fits(plan) => self.plan = Some(*plan),
            Saved::Stale(why) => {
                self.plan = PlanFile::from_json(&text).ok().and_then(|f| f.to_plan().ok());
                self.stale = Some(why);
            }
            Saved::Broken(why) => {
                let problem = Problem::error("cutplan", format!("cutplan.json is no cut plan: {why}"));
                let problem = problem.in_file("cutplan.json").expected("a cut plan as `tubewright cut` writes it");
                self.problems.0.push(problem.hint("cut the job anew"));
            }
        }
    }

    /// The plan when it belongs to the routes and the stock.
    pub fn fresh_plan(&self) -> Option<&CutPlan> {
        self.plan.as_ref().filter(|_| self.stale.is_none())
    }

    /// The quote, when the job has been cut and can be priced.
    pub fn quote(&self) -> Option<Quote> {
        let (opened, routes, plan) = (self.opened.as_ref()?, self.routes.as_ref()?, self.fresh_plan()?);
        quote(&opened.job, routes, plan, &self.rates).ok()
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
        let keepouts = self.tree.as_ref().and_then(|t| t.get("keepout")).map_or(&[][..], Tree::items);
        keepouts.iter().map(|k| k.get("file").and_then(Tree::text).map(str::to_string)).collect()
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
