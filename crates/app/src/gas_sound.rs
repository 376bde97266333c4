//! What the open end of an exhaust would sound like: an impression, not a measurement.
//!
//! The volume that leaves by all open ends is a point source: p(r) = rho / (4 pi r) dQ/dt at r = 1 m (A. D. Pierce,
//! Acoustics, from memory). No silencer, no ground, no other noise. Two seconds at the highest of the speeds, then a
//! run-up of four seconds through all of them. The loudest sample is put 3 dB below the greatest that the file can hold;
//! how loud that is at 1 m is given beside it.

use std::f64::consts::PI;

use gas::cycle::{Point, Settings};
use gas::cylinder::CYCLE;
use job::{Monitor, Problems};
use serde::Serialize;
use utoipa::ToSchema;

use crate::gas_model::GasModel;
use crate::gas_speeds::{GasProgress, run};
use crate::summary::figure;

/// Samples a second.
const RATE: u32 = 44_100;
/// Points of a cycle.
const ANGLES: usize = 720;
/// Length of the steady part and of the run-up, s.
const STEADY: f64 = 2.0;
const RUN_UP: f64 = 4.0;
/// Density of air, kg/m3.
const AIR: f64 = 1.18;

/// A sound.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Sound {
    /// A WAV file: one channel, 16 bits, 44 100 samples a second.
    #[serde(skip)]
    pub wav: Vec<u8>,
    /// Sound pressure at 1 m of the steady part, root mean square, Pa.
    pub pressure_at_1_m_pa: f64,
    /// Speed of the steady part, rpm.
    pub steady_rpm: f64,
}

/// Makes the sound of a model at these speeds, rpm, ascending.
///
/// # Errors
/// That it was stopped, or at which speed the gas came to impossible values.
pub fn gas_sound(model: &GasModel, speeds: &[f64], monitor: &mut Monitor<'_, GasProgress>) -> Result<Sound, Problems> {
    let points = run(model, speeds, &Settings { trace: ANGLES, ..Settings::default() }, monitor)?;
    Ok(sound_of(&points))
}

/// Volume rate over a cycle at even angles, m3/s.
fn table(point: &Point) -> Vec<f64> {
    let Some(record) = point.record.as_ref().filter(|r| r.angle.len() > 2) else { return vec![0.0; ANGLES] };
    let (angles, flow) = (&record.angle, &record.mouths);
    let at = |i: usize| {
        let angle = i as f64 * CYCLE / ANGLES as f64;
        let next = angles.partition_point(|a| *a <= angle);
        let last = angles.len() - 1;
        let (a, b) = (if next == 0 { last } else { next - 1 }, if next > last { 0 } else { next });
        let gap = (angles[b] - angles[a]).rem_euclid(CYCLE).max(1e-9);
        let part = ((angle - angles[a]).rem_euclid(CYCLE) / gap).clamp(0.0, 1.0);
        flow[a] + part * (flow[b] - flow[a])
    };
    (0..ANGLES).map(at).collect()
}

fn sound_of(points: &[Point]) -> Sound {
    let tables: Vec<Vec<f64>> = points.iter().map(table).collect();
    let rpm: Vec<f64> = points.iter().map(|p| p.rpm).collect();
    let steady_rpm = rpm.last().copied().unwrap_or(0.0);
    // Volume rate at a crank angle and a speed between two computed ones.
    let rate = |angle: f64, speed: f64| {
        let x = angle / CYCLE * ANGLES as f64;
        let (i, part) = (x as usize % ANGLES, x.fract());
        let of = |t: &[f64]| t[i] + part * (t[(i + 1) % ANGLES] - t[i]);
        let above = rpm.partition_point(|r| *r < speed).clamp(1, rpm.len().max(2) - 1).min(rpm.len() - 1);
        let below = above.saturating_sub(1);
        let gap = rpm[above] - rpm[below];
        let share = if gap > 0.0 { ((speed - rpm[below]) / gap).clamp(0.0, 1.0) } else { 0.0 };
        of(&tables[below]) * (1.0 - share) + of(&tables[above]) * share
    };
    let step = 1.0 / f64::from(RATE);
    let count = ((STEADY + RUN_UP) * f64::from(RATE)) as usize;
    let steady = (STEADY * f64::from(RATE)) as usize;
    let (mut angle, mut last, mut pressures) = (0.0, None, Vec::with_capacity(count));
    for i in 0..count {
        let up = ((i as f64 * step - STEADY) / RUN_UP).max(0.0);
        let speed = if i < steady { steady_rpm } else { rpm[0] + up * (steady_rpm - rpm[0]) };
        let flow = rate(angle, speed);
        pressures.push(AIR / (4.0 * PI) * (flow - last.unwrap_or(flow)) / step);
        last = Some(flow);
        angle = (angle + speed * 2.0 * PI / 60.0 * step) % CYCLE;
    }
    let square = pressures[..steady].iter().map(|p| p * p).sum::<f64>() / steady as f64;
    Sound { wav: wav(&pressures), pressure_at_1_m_pa: figure(square.sqrt()), steady_rpm }
}

/// A WAV file (RIFF) of one channel with 16 bits.
fn wav(pressures: &[f64]) -> Vec<u8> {
    let most = pressures.iter().fold(1e-12_f64, |m, p| m.max(p.abs()));
    let scale = f64::from(i16::MAX) * 0.708 / most;
    let bytes = 2 * pressures.len() as u32;
    let mut out = Vec::with_capacity(44 + bytes as usize);
    out.extend(b"RIFF");
    out.extend((36 + bytes).to_le_bytes());
    out.extend(b"WAVEfmt ");
    out.extend(16_u32.to_le_bytes());
    // Plain samples, one channel.
    out.extend([1_u16, 1].iter().flat_map(|v| v.to_le_bytes()));
    out.extend([RATE, 2 * RATE].iter().flat_map(|v| v.to_le_bytes()));
    out.extend([2_u16, 16].iter().flat_map(|v| v.to_le_bytes()));
    out.extend(b"data");
    out.extend(bytes.to_le_bytes());
    out.extend(pressures.iter().flat_map(|p| ((p * scale) as i16).to_le_bytes()));
    out
}

#[cfg(test)]
mod tests {
    use super::wav;

    #[test]
    fn a_file_has_its_head_and_its_samples() {
        let file = wav(&[0.0, 1.0, -1.0]);
        assert_eq!(file.len(), 44 + 6);
        assert_eq!(&file[..4], b"RIFF");
        let sample = |i: usize| i16::from_le_bytes([file[44 + 2 * i], file[45 + 2 * i]]);
        assert_eq!((sample(0), sample(1)), (0, -sample(2)));
        assert!((sample(1) - 23198).abs() <= 2);
    }
}
