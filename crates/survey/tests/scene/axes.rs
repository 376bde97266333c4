//! The axes of the ports, for what was found and for the truth.

use survey::DVec3;
use survey::photo::camera::Pose;
use survey::photo::place::{Laying, Length, PhotoFrame, Places, Second};
use survey::photo::survey::{PhotoAnswer, Plate};

use super::Set;

/// Standard deviation of a bar measured with calipers, mm.
pub const BAR_SD: f64 = 0.05;

/// Places in the axes of the ports, the bar read as this long, mm; `None` when a port or an end of the bar was not found.
pub fn places(answer: &PhotoAnswer, bar: f64, sd: f64) -> Option<Places> {
    let n = |tag: u32| answer.plates.iter().position(|p| p.tag == tag && p.moved_at.is_none() && p.photos >= 2);
    let laying = Laying {
        answer,
        frame: PhotoFrame {
            origin: n(0)?,
            forward: [n(3)?, n(0)?],
            second: Second::MeanNormal((0..4).map(n).collect::<Option<Vec<usize>>>()?),
        },
        thickness: vec![0.0; answer.plates.len()],
        lengths: vec![Length { between: [n(16)?, n(17)?], length: bar, sd, faces: false }],
    };
    laying.places()
}

/// True place and normal of a plate in the same axes, after its move when it is that part of a plate that moved.
pub fn truth(set: &Set, plate: &Plate) -> (DVec3, DVec3) {
    let before = set.plates[plate.tag as usize];
    let pose = plate.moved_at.and(set.moved).unwrap_or(before);
    let normal = |p: &Pose| p.turn * DVec3::NEG_Z;
    let origin = set.plates[0].shift;
    let x = (origin - set.plates[3].shift).normalize();
    let mean: DVec3 = set.plates[..4].iter().map(normal).sum();
    let y = (mean - x * mean.dot(x)).normalize();
    let z = x.cross(y);
    let turn = |v: DVec3| DVec3::new(v.dot(x), v.dot(y), v.dot(z));
    (turn(pose.shift - origin), turn(normal(&pose)))
}
