//! What is exported: runs and their pieces as tubes in the vehicle's axes.

use cutplan::{CutJob, CutPlan};
use geom::{Centreline, Vec3};
use job::palette::run_colour;
use job::routes::Routes;

use crate::ExportError;
use crate::solid::Group;

/// A stretch of tube with a name.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaderPiece {
    /// Piece mark such as `1A`; the run's number where nothing has been cut.
    pub mark: String,
    /// Its centreline, in the vehicle's axes.
    pub line: Centreline,
}

/// A run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its name: `primary 1`.
    pub name: String,
    /// Its place among the runs of the job, from 0; its colour goes by it.
    pub number: usize,
    /// Centreline of the whole tube.
    pub line: Centreline,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Its pieces in the order of the flow, end to end.
    pub parts: Vec<HeaderPiece>,
}

impl Run {
    /// Its colour: red, green and blue from 0 to 1, the same for all its pieces.
    pub fn colour(&self) -> [f64; 3] {
        colour(self.number)
    }
}

/// A header to export.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// The job's name.
    pub name: String,
    /// Runs of the header.
    pub runs: Vec<Run>,
    /// Flanges and collectors, for formats that show them.
    pub groups: Vec<Group>,
}

impl Header {
    /// All runs of a job, in pieces as `plan` cuts them; without a plan each run is one piece.
    ///
    /// # Errors
    /// [`ExportError::Empty`], [`ExportError::BadRoute`], [`ExportError::TightBend`], [`ExportError::NoBore`].
    pub fn of(name: &str, job: &CutJob<'_>, routes: &Routes, plan: Option<&CutPlan>) -> Result<Header, ExportError> {
        let mut runs = Vec::new();
        let marks = cutplan::run_numbers(routes.runs.iter().map(|r| &r.run), job.cylinders);
        for (number, route) in routes.runs.iter().enumerate() {
            let name = route.run.to_string();
            let line = route.centreline().map_err(|reason| ExportError::BadRoute { run: name.clone(), reason })?;
            let tube = job.tube_of(&route.run);
            sound(&name, &line, tube.od, tube.wall)?;
            let cut = plan.into_iter().flat_map(|p| &p.pieces).filter(|p| p.run == route.run);
            let mut parts: Vec<HeaderPiece> =
                cut.map(|p| HeaderPiece { mark: p.mark.clone(), line: line.stretch(p.from, p.to) }).collect();
            // Before the first piece there is flange, not tube.
            let start = job.start_of(&route.run);
            let line = if start > 0.0 { line.stretch(start, line.length()) } else { line };
            if parts.is_empty() {
                parts.push(HeaderPiece { mark: marks[number].to_string(), line: line.clone() });
            }
            runs.push(Run { name, number, line, od: tube.od, wall: tube.wall, parts });
        }
        if runs.is_empty() {
            Err(ExportError::Empty)
        } else {
            Ok(Header { name: name.to_string(), runs, groups: Vec::new() })
        }
    }

    /// Only the run or piece called `of`.
    ///
    /// # Errors
    /// [`ExportError::UnknownPart`] names what there is.
    pub fn only(&self, of: &str) -> Result<Header, ExportError> {
        let asked = of.trim();
        if let Some(run) = self.runs.iter().find(|r| r.name == asked) {
            return Ok(Header { name: self.name.clone(), runs: vec![run.clone()], groups: Vec::new() });
        }
        for run in &self.runs {
            if let Some(part) = run.parts.iter().find(|p| p.mark.eq_ignore_ascii_case(asked)) {
                let alone = Run { line: part.line.clone(), parts: vec![part.clone()], ..run.clone() };
                return Ok(Header { name: self.name.clone(), runs: vec![alone], groups: Vec::new() });
            }
        }
        let runs = self.runs.iter().map(|r| r.name.as_str());
        let marks = self.runs.iter().flat_map(|r| &r.parts).map(|p| p.mark.as_str());
        let known: Vec<&str> = runs.chain(marks).collect();
        Err(ExportError::UnknownPart { asked: asked.chars().take(60).collect(), known: known.join(", ") })
    }
}

/// Whether a tube can be a solid.
fn sound(name: &str, line: &Centreline, od: f64, wall: f64) -> Result<(), ExportError> {
    let tight = line.bends().map(|b| b.arc.radius).find(|clr| *clr <= 0.5 * od + 1e-6);
    if let Some(clr) = tight {
        return Err(ExportError::TightBend { part: name.into(), clr, od });
    }
    if wall >= 0.5 * od - 1e-6 {
        return Err(ExportError::NoBore { part: name.into(), wall, od });
    }
    Ok(())
}

/// The colour of a run by its number: red, green and blue from 0 to 1.
pub(crate) fn colour(number: usize) -> [f64; 3] {
    run_colour(number).map(|channel| f64::from(channel) / 255.0)
}

/// A vector as three numbers.
pub(crate) fn triple(v: Vec3) -> [f64; 3] {
    [v.x, v.y, v.z]
}
