//! Sizes of tube and pipe, gauges, sockets.

use std::sync::LazyLock;

use super::csv::{number, rows};

/// An outside diameter in which tube is sold.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeItem {
    /// How the trade calls it, e.g. `1 3/4 in`.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// A tube gauge (BWG).
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeItem {
    /// Gauge number.
    pub gauge: u32,
    /// The wall, mm.
    pub wall: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// A nominal pipe of one schedule.
#[derive(Debug, Clone, PartialEq)]
pub struct Pipe {
    /// Nominal size as written, e.g. `1 1/2`.
    pub nps: String,
    /// Nominal size, inches.
    pub nominal: f64,
    /// DN, the metric nominal size.
    pub dn: u32,
    /// Schedule, e.g. `10S`.
    pub schedule: String,
    /// The standard that lists it.
    pub standard: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall, mm.
    pub wall: f64,
    /// Where the figures come from.
    pub source: String,
}

/// The socket that turns the nut or head of a thread.
#[derive(Debug, Clone, PartialEq)]
pub struct SocketItem {
    /// Thread, e.g. `M8`, `3/8 in`.
    pub thread: String,
    /// Width across flats, mm.
    pub across_flats: f64,
    /// Outside diameter of the socket, mm.
    pub od: f64,
    /// Where the figures come from.
    pub source: String,
}

static TUBES: LazyLock<Vec<TubeItem>> = LazyLock::new(|| {
    rows(include_str!("data/tube.csv"))
        .map(|r| TubeItem { name: r[0].clone(), od: number(&r[1]), source: format!("{}; {}", r[2], r[3]) })
        .collect()
});
static GAUGES: LazyLock<Vec<GaugeItem>> = LazyLock::new(|| {
    rows(include_str!("data/gauge.csv"))
        .map(|r| GaugeItem { gauge: number(&r[0]) as u32, wall: number(&r[1]) * 25.4, source: r[3].clone() })
        .collect()
});
static WALLS: LazyLock<Vec<f64>> =
    LazyLock::new(|| rows(include_str!("data/wall.csv")).map(|r| number(&r[0])).collect());
static PIPES: LazyLock<Vec<Pipe>> = LazyLock::new(|| {
    rows(include_str!("data/pipe.csv"))
        .map(|r| Pipe {
            nominal: parse_inches(&r[0]).expect("nominal sizes of the own file are inches (held by a test)"),
            nps: r[0].clone(),
            dn: number(&r[1]) as u32,
            schedule: r[2].clone(),
            standard: r[3].clone(),
            od: number(&r[4]),
            wall: number(&r[5]),
            source: r[8].clone(),
        })
        .collect()
});
static SOCKETS: LazyLock<Vec<SocketItem>> = LazyLock::new(|| {
    rows(include_str!("data/sockets.csv"))
        .map(|r| SocketItem {
            thread: r[0].clone(),
            across_flats: number(&r[1]),
            od: number(&r[2]),
            source: r[3].clone(),
        })
        .collect()
});

/// Tube sizes by outside diameter.
pub fn tubes() -> &'static [TubeItem] {
    &TUBES
}

/// Tube gauges by number.
pub fn gauges() -> &'static [GaugeItem] {
    &GAUGES
}

/// Walls in which metric tube is stocked, mm.
pub fn walls() -> &'static [f64] {
    &WALLS
}

/// Nominal pipe by size and schedule.
pub fn pipes() -> &'static [Pipe] {
    &PIPES
}

/// Sockets by thread.
pub fn sockets() -> &'static [SocketItem] {
    &SOCKETS
}

/// Wall of a tube gauge, mm.
///
/// ```
/// assert!((job::catalogue::gauge_wall(16).unwrap() - 1.651).abs() < 1e-9);
/// ```
pub fn gauge_wall(gauge: u32) -> Option<f64> {
    GAUGES.iter().find(|g| g.gauge == gauge).map(|g| g.wall)
}

/// Pipe of a nominal size in inches and a schedule (upper or lower case).
///
/// ```
/// let pipe = job::catalogue::pipe_by_nps(1.5, "10S").unwrap();
/// assert!((pipe.od - 2.0 * pipe.wall - 42.76).abs() < 1e-9);
/// ```
pub fn pipe_by_nps(nominal: f64, schedule: &str) -> Option<&'static Pipe> {
    PIPES.iter().find(|p| p.nominal == nominal && p.schedule.eq_ignore_ascii_case(schedule))
}

/// Pipe of a DN and a schedule.
pub fn pipe_by_dn(dn: u32, schedule: &str) -> Option<&'static Pipe> {
    PIPES.iter().find(|p| p.dn == dn && p.schedule.eq_ignore_ascii_case(schedule))
}

/// Nominal size in inches of the pipe whose outside diameter this is, within 0.06 mm (the standard's
/// inch and millimetre sizes differ by up to 0.05 mm).
pub fn nominal_of(od: f64) -> Option<f64> {
    PIPES.iter().find(|p| (p.od - od).abs() <= 0.06).map(|p| p.nominal)
}

/// The socket of a thread: `M8`, `M8x1.25`, `3/8 in`, `3/8-16`, `3/8`.
pub fn socket(thread: &str) -> Option<&'static SocketItem> {
    let plain = thread.trim().to_lowercase();
    let metric = plain.strip_prefix('m').map(|rest| rest.split(['x', '\u{d7}', '-']).next().unwrap_or(rest).trim());
    let wanted = match metric {
        Some(size) => format!("M{size}"),
        None => {
            let inch = plain.split('-').next().unwrap_or(&plain);
            let inch = inch.trim_end_matches(['"', '\u{2033}']).trim().trim_end_matches("in").trim();
            format!("{inch} in")
        }
    };
    SOCKETS.iter().find(|s| s.thread == wanted)
}

/// Inches written as `1 1/2`, `1-1/2`, `3/4`, `2` or `1.25`.
pub fn parse_inches(text: &str) -> Option<f64> {
    let fraction = |text: &str| -> Option<f64> {
        let (over, under) = text.split_once('/')?;
        let digits = |t: &str| !t.is_empty() && t.len() <= 4 && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(over) || !digits(under) {
            return None;
        }
        let (over, under): (f64, f64) = (over.parse().ok()?, under.parse().ok()?);
        (under > 0.0).then_some(over / under)
    };
    let plain = |text: &str| -> Option<f64> {
        let good = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        if good { text.parse().ok() } else { None }
    };
    let text = text.trim();
    if let Some(value) = plain(text).or_else(|| fraction(text)) {
        return Some(value);
    }
    let (whole, rest) = text.split_once([' ', '-'])?;
    let whole = whole.trim();
    if whole.contains('.') {
        return None;
    }
    Some(plain(whole)? + fraction(rest.trim()).filter(|f| *f < 1.0)?)
}
