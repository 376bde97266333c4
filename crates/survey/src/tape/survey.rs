//! A whole survey: from readings to places in the job's axes, with everything that is in doubt.

use glam::DVec3;

use super::fit::Quality;
use super::frame::{Frame, without_gauge};
use super::network::{Network, Reading, ReadingKind};
use super::next::{Candidates, Proposal};
use super::search::{SearchSettings, search};
use super::shape::Shape;
use super::snoop::{Hypothesis, snoop};
use crate::matrix::Symmetric;

/// Standard deviation of a point in mm from which it counts as not fixed.
const UNFIXED: f64 = 50.0;
/// Redundancy below which a reading counts as not checked by any other.
const UNCHECKED: f64 = 0.1;
/// Coordinates of two explanations that differ by less than this, in mm or in standard deviations, are one answer.
const SAME_PLACE: (f64, f64) = (6.0, 3.0);
/// Proposals of what to measure next.
const PROPOSALS: usize = 3;

/// What a survey starts from.
#[derive(Debug, Clone)]
pub struct Input {
    /// Points and readings.
    pub network: Network,
    /// The job's axes.
    pub frame: Frame,
    /// A point that lies left of the xz plane (true) or right of it (false): it tells a shape from its mirror image.
    pub side: Option<(usize, bool)>,
    /// Standard deviation of a tape, for proposals, mm.
    pub tape_sd: f64,
    /// How hard to look for other explanations.
    pub search: SearchSettings,
    /// A shape that photos give to some of the points; it tells left from right too. `network` has only the readings.
    pub shape: Option<Shape>,
}

/// A reading that is called wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// The reading.
    pub reading: usize,
    /// What the others say it should be, mm or rad.
    pub proposed: f64,
    /// Standard deviation of that, mm or rad.
    pub sd: f64,
    /// Readings one of which may be wrong in its place; they are listed as slips too, after the likelier ones.
    pub or: Vec<usize>,
}

/// The question which of two mirror images is meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Mirror {
    /// The point to ask for: left or right?
    pub ask: usize,
    /// All points in the other image.
    pub points: Vec<(usize, DVec3)>,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Places in the job's axes, mm, of all points; of those in `unfixed` they mean nothing.
    pub at: Vec<DVec3>,
    /// Covariance of all coordinates in the job's axes, mm².
    pub covariance: Symmetric,
    /// Points whose place is not fixed.
    pub unfixed: Vec<usize>,
    /// Readings that are called wrong. One beyond the network's is the size of the photos' shape.
    pub slips: Vec<Slip>,
    /// Other answers nearly as good: the points that lie elsewhere in them.
    pub rivals: Vec<Vec<(usize, DVec3)>>,
    /// Set when nothing says which mirror image is meant.
    pub mirror: Option<Mirror>,
    /// Readings that no other checks.
    pub unchecked: Vec<usize>,
    /// What to measure next.
    pub next: Vec<Proposal>,
    /// Roll (left side up) and pitch (front up) of the job's axes against gravity, rad; with heights or inclines only.
    pub level: Option<[f64; 2]>,
    /// Readings beyond those that are needed.
    pub redundancy: i64,
    /// Sum of squares of the good readings in standard deviations.
    pub chi2: f64,
    /// Redundancy of every reading, 0 to 1; 0 of one that is called wrong.
    pub checked: Vec<f64>,
    /// Reading less adjusted value of every reading, mm or rad.
    pub errors: Vec<f64>,
}

impl Answer {
    /// Standard deviations of a point's coordinates, mm.
    pub fn sd(&self, p: usize) -> DVec3 {
        let sd = |c: usize| self.covariance.at(3 * p + c, 3 * p + c).max(0.0).sqrt();
        DVec3::new(sd(0), sd(1), sd(2))
    }

    /// Whether every point has one place.
    pub fn is_fixed(&self) -> bool {
        self.unfixed.is_empty()
    }

    /// Points that the axes hang on and that fewer than three checked readings hold: a slip in another one shifts or turns every place
    /// unseen. `readings` are those that were adjusted.
    pub fn unchecked_axes(&self, frame: &Frame, readings: &[Reading]) -> Vec<usize> {
        let here = |p: usize| (0..readings.len()).filter(move |i| readings[*i].points().contains(&p));
        let held = |p: usize| here(p).filter(|i| self.checked[*i] >= UNCHECKED).count() >= 3;
        let loose = |p: &usize| here(*p).any(|i| self.unchecked.contains(&i)) && !held(*p);
        frame.points().into_iter().filter(loose).collect()
    }

    /// Whether it can be built on: everything fixed and one answer.
    pub fn is_settled(&self) -> bool {
        self.is_fixed() && self.rivals.is_empty() && self.mirror.is_none()
    }
}

/// Why there is no answer at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SurveyError {
    /// The points that the axes hang on lie in one line, or nothing fixes them.
    NoAxes,
    /// Numbers went out of bounds in the adjustment.
    Diverged,
}

/// Adjusts a survey.
///
/// # Errors
/// [`SurveyError`].
pub fn survey(input: &Input) -> Result<Answer, SurveyError> {
    let (network, found) = explanations(input);
    let network = &network;
    let best = found.first().ok_or(SurveyError::Diverged)?;
    let quality = Quality::of(network, &best.x, &best.used).ok_or(SurveyError::Diverged)?;
    let (x, mirror) = oriented(input, &best.x).ok_or(SurveyError::NoAxes)?;
    // The covariance was made of the unmirrored shape.
    let flipped = x != best.x;
    let quality_here =
        if flipped { Quality::of(network, &x, &best.used).ok_or(SurveyError::Diverged)? } else { quality };
    let free = without_gauge(&x, &quality_here.covariance, network.gauge());
    let at = input.frame.map(&x).ok_or(SurveyError::NoAxes)?;
    let covariance = input.frame.map_covariance(&x, &free).ok_or(SurveyError::NoAxes)?;
    let unfixed = unfixed(&covariance);
    let mut answer = Answer {
        level: network.has_levels().then(|| level(&input.frame, &x)).flatten(),
        checked: (0..best.used.len())
            .map(|i| if best.used[i] { quality_here.redundancy(network, i) } else { 0.0 })
            .collect(),
        redundancy: best.used.iter().filter(|u| **u).count() as i64 - (3 * network.points) as i64
            + network.gauge() as i64,
        chi2: best.chi2,
        errors: quality_here.errors.clone(),
        slips: slips(network, &quality_here, &found),
        at,
        covariance,
        unfixed,
        rivals: Vec::new(),
        mirror: None,
        unchecked: Vec::new(),
        next: Vec::new(),
    };
    answer.unchecked = unchecked(network, &answer, &best.used);
    answer.mirror = mirror.and_then(|ask| mirror_question(&answer, ask));
    let rivals = rival_places(input, &found, &answer);
    answer.next = proposals(input, &answer, &rivals);
    answer.rivals = rivals.into_iter().map(|(_, moved)| moved).collect();
    Ok(answer)
}

/// Points whose place is not fixed.
fn unfixed(covariance: &Symmetric) -> Vec<usize> {
    let trace = |p: usize| (0..3).map(|c| covariance.at(3 * p + c, 3 * p + c)).sum::<f64>();
    (0..covariance.n / 3).filter(|p| trace(*p).sqrt().is_nan() || trace(*p) > UNFIXED * UNFIXED).collect()
}

/// What is adjusted, and its explanations, the best first.
fn explanations(input: &Input) -> (Network, Vec<Hypothesis>) {
    match &input.shape {
        Some(shape) => joint(input, shape),
        None => (input.network.clone(), search(&input.network, &input.search)),
    }
}

/// Readings and shape in one least squares. Places are looked for with the distances between the points of the shape, which a
/// search can begin from; every explanation found so is then adjusted with the shape itself.
fn joint(input: &Input, shape: &Shape) -> (Network, Vec<Hypothesis>) {
    let own = input.network.readings.len();
    let with = |more: Vec<Reading>| {
        Network::new(input.network.points, input.network.readings.iter().cloned().chain(more).collect())
    };
    let found = search(&with(shape.distances()), &input.search);
    let network = with(shape.readings());
    let component =
        network.readings.iter().find_map(|r| if let ReadingKind::Shape(c) = &r.kind { Some(c) } else { None });
    let adjusted = |h: &Hypothesis, all: bool| {
        let image: Vec<DVec3> = h.x.iter().map(|p| DVec3::new(p.x, -p.y, p.z)).collect();
        let turned = component.is_some_and(|c| c.misfit(&image) < c.misfit(&h.x));
        let own_used = h.used[..own].iter().map(|used| all || *used);
        // Where all readings count, the size given to the shape does not: a wrong bar throws out many good readings.
        let shape_used = network.readings[own..].iter().map(|r| !all || !r.may_slip());
        snoop(&network, if turned { image } else { h.x.clone() }, own_used.chain(shape_used).collect())
    };
    let mut joined: Vec<Hypothesis> = Vec::new();
    for hypothesis in found.iter().flat_map(|h| [false, true].map(|all| adjusted(h, all))) {
        // Several starts may have come to one explanation.
        let same = |h: &Hypothesis| h.used == hypothesis.used && (h.score - hypothesis.score).abs() < 1e-3;
        if !joined.iter().any(same) {
            joined.push(hypothesis);
        }
    }
    joined.sort_by(|a, b| a.score.total_cmp(&b.score));
    let limit = joined.first().map_or(0.0, |h| h.score) + input.search.rival;
    joined.retain(|h| h.score <= limit);
    (network, joined)
}

/// The shape or its mirror image, whichever the side asks for; with the point to ask for when nothing says.
fn oriented(input: &Input, x: &[DVec3]) -> Option<(Vec<DVec3>, Option<Option<usize>>)> {
    let at = input.frame.map(x)?;
    if input.shape.is_some() {
        return Some((x.to_vec(), None));
    }
    let image = || x.iter().map(|p| DVec3::new(p.x, -p.y, p.z)).collect();
    let Some((side, left)) = input.side else { return Some((x.to_vec(), Some(None))) };
    let flip = (at[side].y > 0.0) != left;
    Some((if flip { image() } else { x.to_vec() }, Some(Some(side))))
}

/// Asks for a point when the one that should tell lies in the plane itself, or none was named.
fn mirror_question(answer: &Answer, side: Option<usize>) -> Option<Mirror> {
    let clear = |p: usize| answer.at[p].y.abs() / answer.sd(p).y.max(1.0);
    if side.is_some_and(|p| !answer.unfixed.contains(&p) && clear(p) > 4.0) {
        return None;
    }
    let fixed = || (0..answer.at.len()).filter(|p| !answer.unfixed.contains(p));
    let ask = fixed().max_by(|a, b| clear(*a).total_cmp(&clear(*b))).filter(|p| clear(*p) > 4.0)?;
    Some(Mirror { ask, points: fixed().map(|p| (p, answer.at[p] * DVec3::new(1.0, -1.0, 1.0))).collect() })
}

fn level(frame: &Frame, x: &[DVec3]) -> Option<[f64; 2]> {
    let up = frame.axes(x)?.turn * DVec3::Z;
    Some([up.y.atan2(up.z), up.x.clamp(-1.0, 1.0).asin()])
}

/// The slips of the best explanation, then those that another one has in their place.
fn slips(network: &Network, quality: &Quality, found: &[Hypothesis]) -> Vec<Slip> {
    let mut slips: Vec<Slip> = Vec::new();
    for i in found[0].slips() {
        let (proposed, sd) = (network.readings[i].value - quality.errors[i], quality.variances[i].max(0.0).sqrt());
        slips.push(Slip { reading: i, proposed, sd, or: Vec::new() });
    }
    let sure = slips.len();
    for other in &found[1..] {
        let replaced: Vec<usize> = (0..sure).filter(|k| other.used[slips[*k].reading]).collect();
        if replaced.is_empty() {
            continue;
        }
        let Some(quality) = Quality::of(network, &other.x, &other.used) else { continue };
        for j in other.slips().filter(|j| found[0].used[*j]) {
            for k in &replaced {
                if !slips[*k].or.contains(&j) {
                    slips[*k].or.push(j);
                }
            }
            if slips.iter().all(|s| s.reading != j) {
                let (proposed, sd) =
                    (network.readings[j].value - quality.errors[j], quality.variances[j].max(0.0).sqrt());
                let or = replaced.iter().map(|k| slips[*k].reading).collect();
                slips.push(Slip { reading: j, proposed, sd, or });
            }
        }
    }
    slips
}

/// Distances, heights and inclines of fixed points that no other reading checks.
fn unchecked(network: &Network, answer: &Answer, used: &[bool]) -> Vec<usize> {
    let fixed = |r: &Reading| r.points().len() == 2 && r.points().iter().all(|p| !answer.unfixed.contains(p));
    let readings = network.readings.iter().enumerate();
    readings.filter(|(i, r)| used[*i] && answer.checked[*i] < UNCHECKED && fixed(r)).map(|(i, _)| i).collect()
}

/// Another answer: all places in the job's axes, and those that differ.
type Rival = (Vec<DVec3>, Vec<(usize, DVec3)>);

/// Other answers: all places of each, and the points that lie elsewhere.
fn rival_places(input: &Input, found: &[Hypothesis], answer: &Answer) -> Vec<Rival> {
    let mut rivals: Vec<Rival> = Vec::new();
    for other in &found[1..] {
        let Some(at) = oriented(input, &other.x).and_then(|(x, _)| input.frame.map(&x)) else { continue };
        let apart = |p: &usize| {
            let (gap, sd) = ((at[*p] - answer.at[*p]).abs(), answer.sd(*p));
            (0..3).any(|c| gap[c] > SAME_PLACE.0.max(SAME_PLACE.1 * sd[c]))
        };
        let moved: Vec<(usize, DVec3)> =
            (0..at.len()).filter(|p| !answer.unfixed.contains(p)).filter(apart).map(|p| (p, at[p])).collect();
        let known = |r: &Rival| {
            r.1.len() == moved.len()
                && r.1.iter().zip(&moved).all(|(a, b)| a.0 == b.0 && a.1.distance(b.1) < SAME_PLACE.0)
        };
        if !moved.is_empty() && !rivals.iter().any(known) {
            rivals.push((at, moved));
        }
    }
    rivals
}

fn proposals(input: &Input, answer: &Answer, rivals: &[Rival]) -> Vec<Proposal> {
    let candidates = || Candidates {
        at: &answer.at,
        covariance: answer.covariance.clone(),
        open: (0..answer.at.len()).filter(|p| !answer.unfixed.contains(p)).collect(),
        readings: &input.network.readings,
        sd: input.tape_sd,
    };
    let mut next: Vec<Proposal> = Vec::new();
    for (at, moved) in rivals.iter().take(PROPOSALS) {
        let points: Vec<usize> = moved.iter().map(|m| m.0).collect();
        next.extend(candidates().deciding(at, &points).filter(|p| next.iter().all(|n| n.between != p.between)));
    }
    for proposal in candidates().best(PROPOSALS) {
        if next.len() < PROPOSALS && next.iter().all(|n| n.between != proposal.between) {
            next.push(proposal);
        }
    }
    next
}
