//! What is printed.

/// One job routed once.
#[derive(Debug, Clone)]
pub struct Row {
    /// Family.
    pub family: &'static str,
    /// Variant of it.
    pub variant: u32,
    /// Seed.
    pub seed: u64,
    /// Whether every requirement holds by the router's word.
    pub met: bool,
    /// Whether the slow recount refuses the answer.
    pub refused: bool,
    /// Seconds to the first answer, loading included; not a number when there is none.
    pub first: f64,
    /// Seconds in all.
    pub seconds: f64,
    /// Bends + turning / 90 degrees.
    pub score: f64,
    /// Bends.
    pub bends: usize,
    /// Turning, degrees.
    pub turn: f64,
    /// The relaxation that would help, when it is not met and one was found.
    pub relaxed: String,
    /// Spread of the primaries' lengths, mm.
    pub spread: f64,
}

/// One line for a family: the score of each run is compared with the best of its variant.
pub fn print(family: &str, rows: &[&Row]) {
    if rows.is_empty() {
        return;
    }
    let best = |variant: u32| {
        rows.iter().filter(|r| r.variant == variant && r.met).map(|r| r.score).fold(f64::INFINITY, f64::min)
    };
    let over: Vec<f64> = rows.iter().map(|r| 100.0 * (r.score / best(r.variant) - 1.0)).collect();
    let all = |f: fn(&Row) -> f64| rows.iter().map(|r| f(r)).collect::<Vec<f64>>();
    println!(
        "{family:13} met {:3} of {:3}, refused {}; first {:.2} s (most {:.2}), all {:.1} s; score {:.2}, over the best {:.1} % (most {:.1})",
        rows.iter().filter(|r| r.met).count(),
        rows.len(),
        rows.iter().filter(|r| r.refused).count(),
        median(all(|r| r.first)),
        most(all(|r| r.first)),
        median(all(|r| r.seconds)),
        median(all(|r| r.score)),
        median(over.clone()),
        most(over),
    );
}

/// All rows as CSV.
pub fn csv(rows: &[Row]) -> String {
    let mut out =
        String::from("family,variant,seed,met,refused,first_s,all_s,score,bends,turn_deg,spread_mm,relaxation\n");
    for r in rows {
        out += &format!(
            "{},{},{},{},{},{:.3},{:.3},{:.4},{},{:.2},{:.2},{:?}\n",
            r.family,
            r.variant,
            r.seed,
            r.met,
            r.refused,
            r.first,
            r.seconds,
            r.score,
            r.bends,
            r.turn,
            r.spread,
            r.relaxed
        );
    }
    out
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn most(values: Vec<f64>) -> f64 {
    values.into_iter().fold(f64::NEG_INFINITY, f64::max)
}
