//! The gas sheet of a job as a PDF.

use job::model::Units;
use job::show;
use papers::gas::{GasSheet, LengthCurve, PowerCurve, SheetArrival, SheetWaves, gas_sheets};
use papers::{Frame, Pdf, PdfError, write_pdf};

use crate::fonts::fonts_of;
use crate::gas_compare::CylinderShare;
use crate::gas_curve::GasBand;
use crate::gas_job::GasReport;
use crate::gas_model::Assumed;
use crate::gas_more::{came_from, entry_text, spread_of};
use crate::gas_waves::{Arrival, GasWaves};
use crate::gas_worth::Worth;
use crate::papers_job::usual_paper;
use crate::summary::figure;

/// Waves that are named at most; those that find the valve open go first.
const MOST_ARRIVALS: usize = 9;

/// Sets the sheet from what was computed; what was not is left out.
///
/// # Errors
/// [`PdfError`]: a bug in Tubewright.
pub fn gas_pdf(report: &GasReport<'_>, units: Units) -> Result<Pdf, PdfError> {
    let paper = usual_paper(units);
    let (curve, summary) = power(report, units);
    let sheets = gas_sheets(&GasSheet {
        curve,
        summary,
        band: report.more.band.as_ref().map(|band| {
            format!("Pale: four in five of {} curves with everything that is not known picked at random.", band.samples)
        }),
        length: report.worth.as_ref().map(|w| length(w, report, units)),
        worth: report.worth.as_ref().map(|w| w.points(units)).unwrap_or_default(),
        uneven: uneven(report, units),
        waves: report.more.waves.first().and_then(|w| waves(w, units)),
        assumed: assumed(report),
        remarks: remarks(report),
        units,
        paper,
    });
    let frame = Frame {
        job: report.job.name.clone(),
        paper,
        left: "gas in the tubes as routed".into(),
        middle: String::new(),
        flag: String::new(),
    };
    write_pdf(&sheets, &frame, &fonts_of(&sheets, &frame.job))
}

fn power(report: &GasReport<'_>, units: Units) -> (PowerCurve, String) {
    let torque = |nm: f64| show::torque(nm, units).0;
    let band = |b: &GasBand| {
        let turned = |v: &[f64]| v.iter().map(|nm| torque(*nm)).collect();
        [b.rpm.clone(), turned(&b.low_nm), turned(&b.high_nm)]
    };
    let curve = PowerCurve {
        rpm: report.points.iter().map(|p| p.rpm).collect(),
        torque: report.points.iter().map(|p| torque(p.torque)).collect(),
        power: report.points.iter().map(|p| show::power(p.power * 1e-3, units).0).collect(),
        units: [show::torque(0.0, units).1, show::power(0.0, units).1],
        band: report.more.band.as_ref().map(band),
    };
    let best = |values: &[f64], unit: &str| {
        let top = (0..values.len()).max_by(|a, b| values[*a].total_cmp(&values[*b]));
        top.map_or(String::new(), |k| format!("{:.0} {unit} at {:.0} rpm", values[k], curve.rpm[k]))
    };
    let summary = format!("{}, {}.", best(&curve.torque, curve.units[0]), best(&curve.power, curve.units[1]));
    (curve, summary)
}

fn length(worth: &Worth, report: &GasReport<'_>, units: Units) -> LengthCurve {
    let long = |mm: f64| in_units(mm, units);
    let torque = |nm: f64| show::torque(nm, units);
    let primaries = &report.model.primaries;
    LengthCurve {
        length: worth.lengths.iter().map(|l| long(l.length)).collect(),
        torque: worth.lengths.iter().map(|l| torque(l.mean_torque).0).collect(),
        best: long(worth.best),
        flat: worth.flat.map(long),
        drawn: long(primaries.iter().sum::<f64>() / primaries.len().max(1) as f64),
        unit: torque(0.0).1,
    }
}

fn in_units(mm: f64, units: Units) -> f64 {
    mm / units.in_mm()
}

fn uneven(report: &GasReport<'_>, units: Units) -> Vec<[String; 5]> {
    let row = |c: &CylinderShare| {
        [
            c.cylinder.to_string(),
            show::length(c.length_mm, units),
            show::length(c.longer_mm, units),
            spread_of(&c.routed_percent),
            spread_of(&c.equal_percent),
        ]
    };
    report.more.unevenness.iter().flat_map(|u| &u.cylinders).map(row).collect()
}

/// The waves at the first cylinder.
fn waves(waves: &GasWaves, units: Units) -> Option<SheetWaves> {
    let (valve, picture) = (waves.cylinders.first()?, waves.pictures.first()?);
    let lift = |mm: &[f64]| {
        let most = mm.iter().copied().fold(1e-9, f64::max);
        mm.iter().map(|l| l / most).collect()
    };
    let pressures = |kpa: &[f64]| kpa.iter().map(|p| show::pressure(*p, units).0).collect::<Vec<f64>>();
    let mut kept: Vec<&Arrival> = valve.arrivals.iter().collect();
    kept.sort_by_key(|a| !a.valve_open);
    kept.truncate(MOST_ARRIVALS);
    kept.sort_by(|a, b| a.arrives_deg.total_cmp(&b.arrives_deg));
    let arrival = |a: &Arrival| SheetArrival {
        angle: a.arrives_deg,
        cells: [
            format!("{:.0}°", a.arrives_deg),
            if a.suction { "suction".into() } else { "pressure".into() },
            came_from(a),
            if a.valve_open { "open".into() } else { "shut".into() },
        ],
    };
    Some(SheetWaves {
        cylinder: valve.cylinder,
        rpm: waves.rpm,
        angle: valve.angle_deg.clone(),
        pressure: pressures(&valve.exhaust_kpa),
        unit: show::pressure(0.0, units).1,
        lifts: [lift(&valve.exhaust_lift_mm), lift(&valve.intake_lift_mm)],
        arrivals: kept.into_iter().map(arrival).collect(),
        at: picture.at_mm.iter().map(|mm| in_units(*mm, units)).collect(),
        joints: picture.joints_mm.iter().map(|mm| in_units(*mm, units)).collect(),
        picture_angle: picture.angle_deg.clone(),
        picture: picture.kpa.iter().map(|row| pressures(row)).collect(),
        entries: waves.entries.iter().map(|e| entry_text(e, units)).collect(),
    })
}

fn assumed(report: &GasReport<'_>) -> String {
    let one = |a: &Assumed| {
        let value = format!("{} {}", figure(a.value), a.unit);
        format!("{}: {} ({} to {})", a.what, value.trim_end(), figure(a.low), figure(a.high))
    };
    let all: Vec<String> = report.model.assumed.iter().map(one).collect();
    format!("{}.", all.join("; "))
}

fn remarks(report: &GasReport<'_>) -> String {
    let mut text = String::from(
        "No air filter, no silencer, ideal timing: the engine on the brake makes less. Differences between headers are \
         surer than their values. Arrivals are those of small waves; steep pulses come a little earlier. ",
    );
    for p in report.points.iter().filter(|p| !p.settled) {
        text.push_str(&format!("{:.0} rpm did not settle. ", p.rpm));
    }
    for note in &report.model.notes {
        text.push_str(&format!("Note: {note}. "));
    }
    text.push_str("Sources of what was taken are in the answer as JSON.");
    text
}
