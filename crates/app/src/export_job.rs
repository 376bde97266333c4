//! Exports a job: solids, meshes, drawings and tables into a folder.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use cutplan::CutJob;
use cutplan::quote::quote;
use export::name::{Names, file_name};
use export::table::Table;
use export::threemf::{Object, threemf};
use export::trial::{Printing, TrialPart, trial};
use export::{Header, bending, cutlist, dxf, glb, mesh, solid, step, stl, svg, xlsx};
use geom::Vec3;
use job::model::Units;
use job::{NEVER, write_atomic};
use template::Omission;

use crate::export_work::{ExportSettings, Format, Made, Work};
use crate::fixture_job::fixture;
use crate::wording;

/// What was written.
#[derive(Debug, Clone, Default)]
pub struct Exported {
    /// The files, in the order in which they were written.
    pub files: Vec<PathBuf>,
    /// What a person should know before using them.
    pub warnings: Vec<String>,
}

/// Why an export failed.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// Something in the job, or in the request, rules it out; lengths in the unit of the export.
    #[error("{}", wording::export(.0, *.1))]
    Refused(export::ExportError, Units),
    /// A table of pieces was asked for, and there are none.
    #[error("{} needs a cut plan, and the runs have not been cut", .0.name())]
    NoPlan(Format),
    /// A fixture was asked for, and the job has none.
    #[error("{0}")]
    NoFixture(String),
    /// It was stopped.
    #[error("the export was stopped")]
    Stopped,
    /// A file that cannot be written.
    #[error("{} cannot be written: {error}", file.display())]
    Write {
        /// File that could not be written.
        file: PathBuf,
        /// What the system said.
        error: io::Error,
    },
}

/// Exports into the folder `out`, which is made when it is not there.
///
/// # Errors
/// [`ExportError`]; nothing is written before everything is made, and files written before stay whole.
pub fn export(work: &Work<'_>, settings: &ExportSettings, out: &Path) -> Result<Exported, ExportError> {
    let made = exported(work, settings, &NEVER)?;
    let mut done = Exported { files: Vec::new(), warnings: made.warnings };
    for (name, bytes) in made.files {
        let file = out.join(name);
        let folder = file.parent().unwrap_or(out);
        let written = std::fs::create_dir_all(folder).and_then(|()| write_atomic(&file, &bytes));
        written.map_err(|error| ExportError::Write { file: file.clone(), error })?;
        done.files.push(file);
    }
    Ok(done)
}

/// The files of an export; ends soon after `stop` became true.
///
/// # Errors
/// [`ExportError`], but nothing of files that can't be written.
pub fn exported(work: &Work<'_>, settings: &ExportSettings, stop: &AtomicBool) -> Result<Made, ExportError> {
    let said = |error| ExportError::Refused(error, work.units);
    let header = Header::of(&work.job.name, &CutJob::of(work.job), work.routes, work.plan).map_err(said)?;
    let shown = match &settings.of {
        Some(of) => header.only(of).map_err(said)?,
        None => header,
    };
    let base = match &settings.of {
        Some(of) => format!("{}-{}", file_name(&work.job.name), file_name(of)),
        None => file_name(&work.job.name),
    };
    let mut writer = Writer { work, settings, stop, header: shown, base, made: Made::default(), drawings: None };
    if settings.of.is_none() && settings.formats.iter().any(|f| f.shows_groups()) {
        writer.add_groups();
    }
    for format in &settings.formats {
        writer.write(*format)?;
    }
    Ok(writer.made)
}

struct Writer<'a> {
    work: &'a Work<'a>,
    settings: &'a ExportSettings,
    stop: &'a AtomicBool,
    header: Header,
    base: String,
    made: Made,
    drawings: Option<Vec<template::Drawing>>,
}

impl Writer<'_> {
    /// Flanges and collectors beside the runs; what can't be made is a warning.
    fn add_groups(&mut self) {
        let Work { job, routes, units, beside, .. } = *self.work;
        let mut omissions = Vec::new();
        let mut placed = Vec::new();
        for (name, made) in template::header::placed(job, &beside.details) {
            match made {
                Ok(flange) => placed.push(flange),
                Err(why) => omissions.push(Omission::NotDrawn { name, why }),
            }
        }
        let flanges = solid::flanges(&placed);
        let bodies = template::header::collector_bodies(job, &beside.details);
        let collectors = bodies.iter().map(|b| solid::collector(b, &route::laid::frame_of(job, routes, b.collector)));
        let parts = (solid::parts(&job::parts::solids(job, routes)), Vec::new());
        for (group, more) in std::iter::once(flanges).chain(collectors).chain([parts]) {
            omissions.extend(more);
            if !group.solids.is_empty() {
                self.header.groups.push(group);
            }
        }
        self.made.warnings.extend(omissions.iter().map(|o| wording::omission(o, units)));
    }

    fn save(&mut self, name: &str, bytes: impl Into<Vec<u8>>) {
        self.made.files.push((name.to_string(), bytes.into()));
    }

    fn go_on(&self) -> Result<(), ExportError> {
        if self.stop.load(Ordering::Relaxed) { Err(ExportError::Stopped) } else { Ok(()) }
    }

    fn refused(&self, error: export::ExportError) -> ExportError {
        ExportError::Refused(error, self.work.units)
    }

    fn write(&mut self, format: Format) -> Result<(), ExportError> {
        self.go_on()?;
        let units = self.work.units;
        let Writer { settings, .. } = *self;
        let base = self.base.clone();
        match format {
            Format::Step => self.save(&format!("{base}.step"), step::step(&self.header, settings.body, &settings.date)),
            Format::Glb => {
                let bytes = glb::glb(&self.header, settings.body, settings.tolerance).map_err(|p| self.refused(p))?;
                self.save(&format!("{base}.glb"), bytes);
            }
            Format::Stl => self.write_stl()?,
            Format::ThreeMf => self.write_threemf()?,
            Format::Dxf => self.each_drawing("dxf", |d| dxf::dxf(d, units))?,
            Format::Svg => self.each_drawing("svg", |d| svg::svg(d, units))?,
            Format::Xyz => self.save(&format!("{base}-xyz.csv"), bending::xyz(&self.header, units).csv()),
            Format::Lra => {
                let table = bending::lra(&self.header, self.work.beside.bender.as_ref(), units);
                self.made.warnings.extend(table.warnings.iter().map(|w| wording::bending(w, units)));
                self.save(&format!("{base}-lra.csv"), table.table.csv());
            }
            Format::CutList => {
                let plan = self.work.plan.ok_or(ExportError::NoPlan(format))?;
                self.tables(
                    "cutlist",
                    &[cutlist::cut_list(plan, &CutJob::of(self.work.job), units), cutlist::stock_list(plan)],
                )?;
            }
            Format::Quote => {
                let Work { job, routes, rates, .. } = *self.work;
                let plan = self.work.plan.ok_or(ExportError::NoPlan(format))?;
                // A plan that belongs to these routes can be priced.
                let priced = quote(job, routes, plan, rates).map_err(|_| ExportError::NoPlan(format))?;
                self.tables(
                    "quote",
                    &[cutlist::quote_table(&priced, |line| wording::quote_basis(&line.basis, job.units))],
                )?;
            }
            Format::Fixture => self.write_fixture()?,
        }
        Ok(())
    }

    fn write_stl(&mut self) -> Result<(), ExportError> {
        if let Some(printing) = &self.settings.trial {
            return self.trial_stl(printing);
        }
        let meshes: Vec<mesh::Triangles> = self.meshes()?.into_iter().map(|o| o.mesh).collect();
        let bytes = stl::stl(&meshes).map_err(|p| self.refused(p))?;
        self.save(&format!("{}.stl", self.base), bytes);
        Ok(())
    }

    fn write_threemf(&mut self) -> Result<(), ExportError> {
        let (objects, ending) = match &self.settings.trial {
            Some(printing) => (in_rows(self.trial_parts(printing)?), "-trial"),
            None => (self.meshes()?, ""),
        };
        let bytes = threemf(&self.work.job.name, &objects).map_err(|p| self.refused(p))?;
        self.save(&format!("{}{ending}.3mf", self.base), bytes);
        Ok(())
    }

    fn write_fixture(&mut self) -> Result<(), ExportError> {
        match fixture(self.work, self.settings, &self.base) {
            Ok(made) => {
                self.made.files.extend(made.files);
                self.made.warnings.extend(made.warnings);
            }
            // Among other formats it is left out with a word.
            Err(why) if self.settings.formats.len() > 1 => self.made.warnings.push(format!("no fixture: {why}")),
            Err(why) => return Err(ExportError::NoFixture(why)),
        }
        Ok(())
    }

    /// The first table as CSV, all as one workbook.
    fn tables(&mut self, kind: &str, tables: &[Table]) -> Result<(), ExportError> {
        let name = format!("{}-{kind}", self.base);
        if let Some(first) = tables.first() {
            self.save(&format!("{name}.csv"), first.csv());
        }
        let bytes = xlsx::xlsx(&self.work.job.name, tables).map_err(|p| self.refused(p))?;
        self.save(&format!("{name}.xlsx"), bytes);
        Ok(())
    }

    /// A mesh for each run: pieces are one body there.
    fn meshes(&self) -> Result<Vec<Object>, ExportError> {
        let ExportSettings { body, tolerance, .. } = *self.settings;
        let mesh = |run: &export::Run| {
            self.go_on()?;
            let mesh = mesh::tube(&run.line, run.od, run.wall, body, tolerance);
            Ok(Object { name: run.name.clone(), colour: run.colour(), mesh, shift: Vec3::ZERO })
        };
        self.header.runs.iter().map(mesh).collect()
    }

    fn trial_parts(&self, printing: &Printing) -> Result<Vec<TrialPart>, ExportError> {
        let mut parts = Vec::new();
        for run in &self.header.runs {
            parts.extend(trial(run, printing).map_err(|p| self.refused(p))?);
        }
        Ok(parts)
    }

    fn trial_stl(&mut self, printing: &Printing) -> Result<(), ExportError> {
        let mut names = Names::default();
        for part in self.trial_parts(printing)? {
            let name = names.unique(&part.name);
            let bytes = stl::stl(&[part.mesh]).map_err(|p| self.refused(p))?;
            self.save(&format!("trial/{name}.stl"), bytes);
        }
        Ok(())
    }

    fn each_drawing(&mut self, kind: &str, write: impl Fn(&template::Drawing) -> String) -> Result<(), ExportError> {
        let drawings = match self.drawings.take() {
            Some(drawings) => drawings,
            None => {
                let Work { job, units, beside, .. } = *self.work;
                let (drawings, omitted) = template::header::drawings(job, &beside.details, units);
                let said: Vec<String> = omitted.iter().map(|o| wording::omission(o, units)).collect();
                let new: Vec<String> = said.into_iter().filter(|s| !self.made.warnings.contains(s)).collect();
                self.made.warnings.extend(new);
                drawings
            }
        };
        let mut names = Names::default();
        for drawing in &drawings {
            self.go_on()?;
            let name = names.unique(&drawing.name);
            self.save(&format!("{kind}/{name}.{kind}"), write(drawing));
        }
        self.drawings = Some(drawings);
        Ok(())
    }
}

/// Trial parts side by side, so that none stands in another.
fn in_rows(parts: Vec<TrialPart>) -> Vec<Object> {
    /// Free bed between two parts, and the width at which a new row begins, mm.
    const FREE: f64 = 8.0;
    const WIDTH: f64 = 1200.0;
    let (mut x, mut y, mut depth) = (0.0, 0.0, 0.0_f64);
    let mut objects = Vec::new();
    for part in parts {
        let [_, size] = part.mesh.bounds();
        if x > 0.0 && x + size.x > WIDTH {
            (x, y, depth) = (0.0, y + depth + FREE, 0.0);
        }
        let colour = part.colour();
        objects.push(Object { name: part.name, colour, mesh: part.mesh, shift: Vec3::new(x, y, 0.0) });
        x += size.x + FREE;
        depth = depth.max(size.y);
    }
    objects
}
