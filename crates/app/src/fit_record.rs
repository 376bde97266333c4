//! What fit.toml says of each run, held against the plan: marks, joints and inlets that exist, readings that can be.

use cutplan::CutJob;
use fit::chain::figure;
use fit::reading::chord_ends;
use fit::{At, Freedom, Limits, Reading, ReadingKind, Run, Slot, State};
use job::fit::{ChordReading, FitRecord, Measured, PieceState, Spotted, Strip};
use job::model::Job;
use job::problem::Problem;
use job::routes::Routes;
use job::source::Spot;

use crate::fit_bench::{Bench, RunBuild, add, unknown_hint, wrong};
use crate::fit_reading::{self, Drawn};

/// The runs with what a record says of them, and everything that is wrong with it.
pub fn builds(job: &Job, routes: &Routes, runs: Vec<Run>, record: &FitRecord) -> (Vec<RunBuild>, Vec<Problem>) {
    let mut problems = Vec::new();
    let bench = Bench::new(job, routes, record.measuring);
    let mut builds: Vec<RunBuild> = runs.into_iter().map(|run| untouched(job, run)).collect();
    corrections(&mut builds, record, &mut problems);
    pieces(&mut builds, record, &mut problems);
    for strip in &record.strips {
        read_strip(&mut builds, strip, &bench, &mut problems);
    }
    for chord in &record.chords {
        read_chord(&mut builds, chord, &bench, &mut problems);
    }
    for measured in &record.measured {
        read_measured(&mut builds, measured, &bench, &mut problems);
    }
    (builds, problems)
}

/// What saw and stock allow of each piece of a run.
pub(crate) fn limits(job: &Job, run: &Run) -> Vec<Limits> {
    let tube = CutJob::of(job).tube_of(&run.id).clone();
    let leg = |clr: f64| {
        let fits = |b: &&job::model::BendStock| {
            tube.is_same_size(b.od, b.wall) && (b.clr - clr).abs() <= job::model::SAME_SIZE
        };
        job.stock.bends.iter().filter(fits).flat_map(|b| b.legs).fold(0.0, f64::max)
    };
    let limit = |clr: f64| Limits {
        min_straight: job.saw.min_straight,
        min_arc: job.saw.min_arc,
        leg: leg(clr),
        beside: [0.0; 2],
    };
    run.parts.iter().map(|p| limit(p.clr)).collect()
}

/// A piece that nothing is done to: it will have what the plan leaves it longer.
fn uncut(part: &fit::Part) -> Freedom {
    let more = part.reserve;
    let [left_in, left_long] = if part.is_bend() { [more.leg_in, more.leg_out] } else { [0.0, more.leg_in] };
    Freedom { left_in, left_long, left_angle: more.angle, ..Freedom::of(State::Uncut) }
}

fn untouched(job: &Job, run: Run) -> RunBuild {
    RunBuild {
        planned: run.drawn.clone(),
        freedoms: run.parts.iter().map(uncut).collect(),
        limits: limits(job, &run),
        readings: Vec::new(),
        read_at: Vec::new(),
        run,
    }
}

/// Corrections that were accepted are what the pieces are to be from then on.
fn corrections(builds: &mut [RunBuild], record: &FitRecord, problems: &mut Vec<Problem>) {
    for corrected in &record.corrected {
        let Some((mark, is)) = &corrected.piece else { continue };
        let Some((b, k)) = piece(builds, mark, corrected.places.of("piece"), problems) else { continue };
        let build = &mut builds[b];
        build.planned[figure(k, Slot::LegIn)] = is.leg_in;
        if build.run.parts[k].is_bend() {
            build.planned[figure(k, Slot::Angle)] = is.angle;
            build.planned[figure(k, Slot::LegOut)] = is.leg_out;
            build.planned[figure(k, Slot::Roll)] += is.turned;
        }
        build.planned[figure(k, Slot::Shift)] -= is.slid;
    }
}

/// The piece of a mark: its run and its place there.
fn piece(builds: &[RunBuild], mark: &str, at: &Spot, problems: &mut Vec<Problem>) -> Option<(usize, usize)> {
    let found = builds.iter().enumerate().find_map(|(b, build)| Some((b, build.run.piece(mark)?)));
    if found.is_none() {
        let marks = builds.iter().flat_map(|b| &b.run.parts).map(|p| p.mark.as_str());
        let hint = unknown_hint(mark, marks);
        problems.push(wrong(
            "unknown-mark",
            at,
            format!("the plan has no piece `{mark}`"),
            "the mark of a piece of cutplan.json",
            hint,
        ));
    }
    found
}

/// The joint of a name, by either of its two sides: its run and the piece behind it.
fn joint(builds: &[RunBuild], name: &str, at: &Spot, problems: &mut Vec<Problem>) -> Option<(usize, usize)> {
    let found = builds.iter().enumerate().find_map(|(b, build)| Some((b, build.run.joint(name)?)));
    if found.is_none() {
        let names = builds.iter().flat_map(|b| &b.run.parts).map(|p| p.joint.as_str());
        let hint = if builds.iter().any(|b| b.run.closing == name) {
            "the joint to the inlet is made last: measure the inlet and the last piece instead".to_string()
        } else {
            unknown_hint(name, names)
        };
        problems.push(wrong(
            "unknown-joint",
            at,
            format!("the plan has no joint `{name}` between pieces"),
            "a joint as on the sheets, e.g. \"1A-1B\" or \"port 1-1A\"",
            hint,
        ));
    }
    found
}

fn pieces(builds: &mut [RunBuild], record: &FitRecord, problems: &mut Vec<Problem>) {
    let mut seen: Vec<&str> = Vec::new();
    for given in &record.pieces {
        let Some((b, k)) = piece(builds, &given.mark, given.places.of("mark"), problems) else { continue };
        if seen.contains(&given.mark.as_str()) {
            let message = format!("piece {} is given twice", given.mark);
            let hint = "keep the later state";
            problems.push(wrong("duplicate-piece", given.places.of("mark"), message, "each piece once", hint));
        }
        seen.push(&given.mark);
        let state = match given.state {
            PieceState::Uncut => State::Uncut,
            PieceState::Cut => State::Cut,
            PieceState::Tacked => State::Tacked,
            PieceState::Welded => State::Welded,
        };
        let free = &mut builds[b].freedoms[k];
        free.state = state;
        // What was really left counts before what the plan leaves.
        for (left, given) in [(&mut free.left_long, given.left_long), (&mut free.left_angle, given.left_angle)] {
            if given > 0.0 {
                *left = given;
            }
        }
    }
    for given in &record.pieces {
        let Some((b, k)) = builds.iter().enumerate().find_map(|(b, x)| Some((b, x.run.piece(&given.mark)?))) else {
            continue;
        };
        let (parts, freedoms) = (&builds[b].run.parts, &builds[b].freedoms);
        let joined = freedoms[k].state >= State::Tacked;
        if let Some(loose) = (0..k).find(|&j| joined && freedoms[j].state < State::Tacked) {
            let state = if freedoms[k].state == State::Welded { "welded" } else { "tacked" };
            let before = &parts[loose].mark;
            problems.push(wrong(
                "joined-to-nothing",
                given.places.of("state"),
                format!("piece {} is {state}, and {before} before it is not joined yet", given.mark),
                "every piece before a welded or tacked one is welded or tacked too",
                format!("add [[piece]] mark = \"{before}\" with its state, or correct this one"),
            ));
        }
    }
}

fn read_strip(builds: &mut [RunBuild], strip: &Strip, bench: &Bench, problems: &mut Vec<Problem>) {
    let Some((b, k)) = joint(builds, &strip.joint, strip.places.of("joint"), problems) else { return };
    if !is_built(&builds[b], k, strip.places.of("joint"), &format!("joint {}", strip.joint), problems) {
        return;
    }
    let degrees = strip.off.to_degrees();
    if degrees.abs() > 45.0 {
        let message = format!("the strip of joint {} is {degrees:.1} degrees past its mark", strip.joint);
        let hint = if (degrees.abs() - 360.0).abs() < 45.0 {
            format!("write off = {:.1}", degrees - 360.0 * degrees.signum())
        } else {
            "check which mark was read; both marks must be those of this joint".into()
        };
        problems.push(wrong("strip", strip.places.of("off"), message, "from -45 to 45 degrees", hint));
        return;
    }
    let kind = ReadingKind::Strip(k, strip.off);
    add(&mut builds[b], Reading { kind, sd: bench.measuring.strip }, &strip.places, "off", "strip");
}

/// Whether a piece is joined to what lies before it: only that can be measured in its place.
fn is_built(build: &RunBuild, k: usize, at: &Spot, what: &str, problems: &mut Vec<Problem>) -> bool {
    let loose = (0..=k).find(|&j| build.freedoms[j].state < State::Tacked);
    if let Some(j) = loose {
        let mark = &build.run.parts[j].mark;
        problems.push(wrong(
            "not-built",
            at,
            format!("{what} was measured, and piece {mark} is not welded or tacked yet"),
            "a reading of what is built",
            format!("add [[piece]] with mark = \"{mark}\", state = \"welded\", or take the reading out"),
        ));
    }
    loose.is_none()
}

fn read_chord(builds: &mut [RunBuild], chord: &ChordReading, bench: &Bench, problems: &mut Vec<Problem>) {
    let at = chord.places.of("pieces");
    let known = problems.len();
    let found: Vec<(usize, usize)> = chord.pieces.iter().filter_map(|m| piece(builds, m, at, problems)).collect();
    if problems.len() > known {
        return;
    }
    let (b, first) = found[0];
    if found.iter().enumerate().any(|(i, f)| *f != (b, first + i)) {
        let message = format!("{} are no neighbours along one run", chord.pieces.join(", "));
        problems.push(wrong("chord", at, message, "pieces in the order of the flow", "name them from upstream on"));
        return;
    }
    let last = first + found.len() - 1;
    if first == last && builds[b].freedoms[first].state == State::Cut {
        let message = format!("the chord of {} is not used: the piece is cut and not joined yet", chord.pieces[0]);
        let hint = "it counts once the piece is tacked or welded";
        problems.push(wrong("not-built", at, message, "a chord of what is built", hint).as_warning());
        return;
    }
    if !is_built(&builds[b], last, at, &format!("the chord of {}", chord.pieces.join("-")), problems) {
        return;
    }
    for (key, side, is) in [("outside", 1.0, chord.outside), ("inside", -1.0, chord.inside)] {
        let Some(is) = is else { continue };
        let longest = longest_chord(&builds[b].run, first, last, side);
        if is > longest + 5.0 * bench.measuring.chord {
            let laid = builds[b].run.laid();
            let [p, q] = chord_ends(&builds[b].run, &laid, first, last, side);
            let message = format!(
                "the {key} chord of {} is {}, longer than its pieces ({})",
                chord.pieces.join("-"),
                bench.long(is),
                bench.long(longest)
            );
            let expected = format!("about {}", bench.long((p - q).length()));
            problems.push(wrong("chord", chord.places.of(key), message, expected, "measure it again; check the unit"));
            continue;
        }
        let kind = ReadingKind::Chord(first, last, side, is);
        add(&mut builds[b], Reading { kind, sd: bench.measuring.chord }, &chord.places, key, "chord");
    }
}

/// No chord is longer than the line along the wall from one end to the other, and once across where clocking turns it.
fn longest_chord(run: &Run, first: usize, last: usize, side: f64) -> f64 {
    let along: f64 = (first..=last)
        .map(|k| {
            let outer = run.parts[k].clr + side.max(0.0) * 0.5 * run.od;
            run.figure(k, Slot::Shift).max(0.0)
                + run.figure(k, Slot::LegIn)
                + outer * run.figure(k, Slot::Angle)
                + run.figure(k, Slot::LegOut)
        })
        .sum();
    if last > first { along.hypot(run.od) } else { along + 1.0 }
}

fn read_measured(builds: &mut [RunBuild], measured: &Measured, bench: &Bench, problems: &mut Vec<Problem>) {
    let nothing = measured.at.is_none()
        && measured.table.is_none()
        && measured.distances.is_empty()
        && measured.axis.is_none()
        && measured.points.is_none()
        && measured.heading_rise.is_none()
        && measured.line.is_none();
    if nothing {
        problems.push(wrong(
            "no-reading",
            &measured.places.table,
            "nothing was read here",
            "at, table, distances, axis, points, heading and rise, or line",
            "write what was measured, or take this [[measured]] out",
        ));
        return;
    }
    match &measured.what {
        Spotted::After(mark) => {
            let at = measured.places.of("after");
            let Some((b, k)) = piece(builds, mark, at, problems) else { return };
            if is_built(&builds[b], k, at, &format!("the end of {mark}"), problems) {
                let drawn = Drawn::of(&builds[b], At::After(k), bench);
                fit_reading::read(&mut builds[b], measured, &drawn, bench, problems);
            }
        }
        Spotted::Inlet(name) => {
            let named = |b: &RunBuild| b.run.inlet.as_ref().map(|(c, n)| format!("{c} {n}"));
            let Some(b) = builds.iter().position(|b| named(b).as_ref() == Some(name)) else {
                let known: Vec<String> = builds.iter().filter_map(named).collect();
                let hint = unknown_hint(name, known.iter().map(String::as_str));
                let message = format!("no run ends in an inlet `{name}`");
                let expected = "collector and number of an inlet, e.g. \"merge 2\"";
                problems.push(wrong("unknown-inlet", measured.places.of("inlet"), message, expected, hint));
                return;
            };
            let drawn = Drawn::of(&builds[b], At::Inlet, bench);
            fit_reading::read(&mut builds[b], measured, &drawn, bench, problems);
        }
    }
}
