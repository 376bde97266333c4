//! What the welding sheet says of edges, collectors and purge: what to do, with its figures. Their sources stand in docs/welding.md.

use cutplan::assembly::JointKind;
use cutplan::quote::Purge;
use cutplan::welding::{FitUp, WeldStep, fit_up, purged, shrinkage};
use cutplan::{CutPlan, ItemShape};
use job::body::Making;
use job::catalogue::material;
use job::model::{Collector, Tube};
use job::rates::Rates;

use crate::PaperJob;
use crate::words;

/// The different tubes of a job.
fn tubes<'a>(papers: &'a PaperJob<'_>) -> Vec<&'a Tube> {
    let mut out: Vec<&Tube> = Vec::new();
    for run in papers.assembly {
        if !out.iter().any(|t| t.wall == run.tube.wall && t.od == run.tube.od && t.material == run.tube.material) {
            out.push(&run.tube);
        }
    }
    out
}

/// Fit-up, cleaning and tacks.
pub(super) fn before(papers: &PaperJob<'_>) -> Vec<String> {
    let mut points: Vec<String> = tubes(papers).into_iter().map(|t| edges(papers, t)).collect();
    if elbows(papers.plan) {
        points.push(
            "Elbows come with chamfered or bevelled ends: dress every end that is not sawn square to its full wall, and measure \
             after that. Where more of a bevel than half the wall would be left, fill it in a second pass."
                .into(),
        );
    }
    let back = words::with_unit(25.0, papers.units);
    points.push(format!(
        "Deburr inside and outside, degrease, and brush to bright metal {back} back on both sides with a brush used for this metal only."
    ));
    points.push(
        "Tacks no longer than three times the wall, melted through, evenly sunk; grind cracked ones out. Weld over them, never beside them."
            .into(),
    );
    points
}

fn edges(papers: &PaperJob<'_>, tube: &Tube) -> String {
    let units = papers.units;
    let FitUp { gap, bevel, step } = fit_up(tube.wall);
    let name = format!("{} {}", words::tube(tube.od, tube.wall, units), tube.material);
    let step = words::exact_with_unit(step, units);
    match bevel {
        None => format!(
            "{name}: square edges butted tight, nowhere a gap over {}, no step inside over {step}.",
            words::exact_with_unit(gap[1], units)
        ),
        Some([angle, face]) => format!(
            "{name}: bevel both edges {} to a root face of {}, gap {} to {}, no step inside over {step}.",
            words::angle(angle),
            words::exact_with_unit(face, units),
            words::exact(gap[0], units),
            words::exact_with_unit(gap[1], units)
        ),
    }
}

/// Whether a plan cuts elbows: bends without legs, as butt-weld fittings are.
fn elbows(plan: &CutPlan) -> bool {
    plan.items.iter().any(|i| matches!(i.shape, ItemShape::Bend { legs, .. } if legs[0] < 0.5 && legs[1] < 0.5))
}

/// How each collector is built, one after the other.
pub(super) fn build_collectors(papers: &PaperJob<'_>) -> Vec<String> {
    let entered = |c: &&Collector| papers.routes.runs.iter().any(|r| r.collector == c.name);
    papers.job.collectors.iter().filter(entered).flat_map(|c| build(papers, c)).collect()
}

/// Marks of the last pieces of the runs that enter a collector.
fn last_pieces(papers: &PaperJob<'_>, collector: &Collector) -> String {
    let entering = papers.routes.runs.iter().zip(papers.assembly).filter(|(r, _)| r.collector == collector.name);
    let marks = entering.filter_map(|(_, a)| Some(papers.plan.pieces[*a.pieces.last()?].mark.as_str()));
    marks.collect::<Vec<_>>().join(", ")
}

/// Numbers of the welds at a collector's inlets.
fn inlet_welds(papers: &PaperJob<'_>, collector: &Collector) -> String {
    let at = |(_, s): &(usize, &WeldStep)| {
        let kind = papers.assembly[s.run].joints[s.joint].kind;
        kind == JointKind::Inlet && papers.routes.runs[s.run].collector == collector.name
    };
    let numbers = (1..).zip(&papers.welding.steps).filter(at).map(|(number, _)| number.to_string());
    numbers.collect::<Vec<_>>().join(", ")
}

fn build(papers: &PaperJob<'_>, collector: &Collector) -> Vec<String> {
    let name = words::short(&collector.name, 40);
    let Some(body) = &collector.body else { return Vec::new() };
    let cone = if body.cone.is_some() {
        " Roll, seam-weld and round the cone; weld it to the outlet after all other seams."
    } else {
        ""
    };
    let (pieces, numbers) = (last_pieces(papers, collector), inlet_welds(papers, collector));
    match body.making {
        Making::Merge { .. } => vec![
            format!(
                "{name}, before phase 1: cut the ends of {pieces} to the merge template; dress them until each two meet without light \
                 between them."
            ),
            format!(
                "{name}, in phase 2: tack each two neighbours at both ends and in the middle of their seam, opposite pairs first."
            ),
            format!(
                "{name}, welds {numbers}: from inside as far as the torch goes in at the outlet, then from outside, a quarter of a seam \
                 at a time on opposite sides. Close the middle with a pyramid or by filling, grind the inside smooth, dress the outlet \
                 round.{cone}"
            ),
        ],
        Making::Slip { .. } => vec![
            format!(
                "{name}, before phase 1: weld the sleeves to one another over mandrels of the tubes' size, then the body around them; \
                 pull the mandrels while it is warm. Ream until {pieces} slide in by hand and turn.{cone}"
            ),
            format!(
                "{name}, last: mark the insertion on {pieces}, slide them in dry, weld on and bolt the tabs or hang the springs. Slip \
                 joints are not welded."
            ),
        ],
        Making::Plate => vec![
            format!("{name}, before phase 1: bore the plate to its drawing; {pieces} end flush with its far side."),
            format!(
                "{name}, welds {numbers}: on opposite sides in turn; dress the far side flush. Then tack and weld the body to the \
                 plate.{cone}"
            ),
        ],
        Making::Bought => {
            vec![format!("{name}: bought. Check its inlets against Templates before {pieces} are cut.")]
        }
    }
}

/// Purge and filler for each material, shielding and shrinkage.
pub(super) fn purge(papers: &PaperJob<'_>) -> Vec<String> {
    let figure = papers.quote.map_or_else(|| Purge::of(&Rates::default()), |q| q.work.purge);
    let mut points = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for tube in tubes(papers) {
        if seen.contains(&tube.material.as_str()) {
            continue;
        }
        seen.push(&tube.material);
        let metal = material(&tube.material);
        let filler = metal.map_or("-", |m| m.filler.as_str());
        let name = &tube.material;
        if purged(name) {
            points.push(format!(
                "{name}: filler {filler}. Purge for tacks and for welds: cap both ends, argon in at the lower one, out at a small hole in the \
                 upper one, joints not yet welded taped. Flood with {} volumes before tacking and again before welding (table below), then {} \
                 l/min while the arc burns and until the metal has lost its colour. The quote counts the same.",
                words::trimmed(figure.volumes),
                words::trimmed(figure.flow)
            ));
        } else {
            points.push(format!("{name}: filler {filler}. No purge needed."));
        }
        if metal.is_some_and(|m| m.name.starts_with("titanium")) {
            points.push(format!(
                "{name}: a trailing shield behind the torch, its argon on until the bead is below 430 °C (800 °F). Silver or straw is \
                 sound; blue, grey or white: cut it out."
            ));
        }
    }
    if papers.assembly.iter().any(|a| purged(&a.tube.material)) {
        points.push("Argon displaces air in pits and small rooms without warning: ventilate; close the cylinder valve when you leave.".into());
    }
    let each: Vec<String> =
        tubes(papers).iter().map(|t| words::exact_with_unit(shrinkage(t.wall), papers.units)).collect();
    points.push(format!(
        "Each weld draws its tube about {} shorter. Weld the groups first: then measure each group, and dress or open its closing joint to \
         make up what it lost.",
        each.join(" or ")
    ));
    points
}
