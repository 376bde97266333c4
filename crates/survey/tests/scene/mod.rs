//! Photos of invented bays, rendered: lens, wobble, bent plates, covers, blur, motion, gamma, sharpening, noise, JPEG.

pub mod axes;

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, GrayImage, ImageEncoder};
use survey::photo::camera::{Lens, Pose};
use survey::photo::decode::marker_cells;
use survey::photo::detect::detect;
use survey::photo::dots::DOTS;
use survey::photo::grey::Grey;
use survey::photo::survey::{LensStart, Photo, PhotoInput};
use survey::{DMat3, DQuat, DVec2, DVec3};

/// Side of the black squares, mm; half side of the white plate in half sides.
pub const SIDE: f64 = 44.0;
const WHITE: f64 = 2.05;
const DOT_RADIUS: f64 = 0.30;

/// How a set of photos is made.
#[derive(Debug, Clone, Copy)]
pub struct SetPlan {
    /// Width of the photos, pixels; the height is three quarters.
    pub width: usize,
    pub photos: usize,
    /// Size of all prints as a part of the drawn one.
    pub print: f64,
    /// Standard deviation of the dots' places on their plates, mm.
    pub bend: f64,
    /// A plate that moves, and the first photo after it.
    pub moved: Option<(usize, usize)>,
    /// A plate printed to another size, and that size.
    pub misprinted: Option<(usize, f64)>,
    pub sharpen: f64,
    pub blur: f64,
    pub motion: f64,
    pub quality: u8,
    /// Part of the plates in a photo that are covered in part.
    pub covered: f64,
}

/// A set of small photos with nothing wrong in it.
pub const PLAN: SetPlan = SetPlan {
    width: 1200,
    photos: 10,
    print: 0.985,
    bend: 0.05,
    moved: None,
    misprinted: None,
    sharpen: 0.6,
    blur: 0.8,
    motion: 0.0,
    quality: 88,
    covered: 0.1,
};

/// Rendered and searched photos with their truth.
pub struct Set {
    pub input: PhotoInput,
    /// From plate to world before anything moved, true size; the tag is the number.
    pub plates: Vec<Pose>,
    /// The moved plate's pose afterwards.
    pub moved: Option<Pose>,
    /// Markers 16 and 17, centre to centre, mm.
    pub bar: f64,
}

pub struct Draw(oorandom::Rand64);

impl Draw {
    pub fn new(seed: u64) -> Draw {
        Draw(oorandom::Rand64::new(u128::from(seed) * 104_729 + 7))
    }

    pub fn even(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.0.rand_float()
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.0.rand_float()).ln()).sqrt() * (TAU * self.0.rand_float()).cos()
    }
}

/// A plate at `at` whose paper looks along `normal`; z of the plate points into the paper.
fn plate(at: [f64; 3], normal: [f64; 3], draw: &mut Draw) -> Pose {
    let z = -DVec3::from_array(normal).normalize();
    let x = z.any_orthonormal_vector();
    let turn = DQuat::from_mat3(&DMat3::from_cols(x, z.cross(x), z));
    Pose { turn: turn * DQuat::from_rotation_z(draw.even(0.0, TAU)), shift: DVec3::from_array(at) }
}

fn bay(draw: &mut Draw) -> Vec<Pose> {
    let mut list: Vec<([f64; 3], [f64; 3])> =
        (0..4).map(|i| ([-96.0 * f64::from(i), 0.0, 0.0], [0.0, 1.0, -0.2])).collect();
    list.extend([
        ([-500.0, 220.0, -330.0], [1.0, 0.0, 0.1]),
        ([-570.0, 290.0, -330.0], [0.05, 1.0, 0.1]),
        ([-410.0, 390.0, -280.0], [0.1, -0.3, 0.9]),
        ([-120.0, 400.0, -290.0], [0.1, -0.3, 0.9]),
        ([150.0, 390.0, -280.0], [0.1, -0.3, 0.9]),
        ([-370.0, 220.0, -15.0], [0.2, 0.6, 0.8]),
        ([120.0, 240.0, 10.0], [-0.2, 0.6, 0.8]),
        ([-330.0, -10.0, -210.0], [0.1, 0.9, 0.2]),
        ([-60.0, -20.0, -230.0], [-0.1, 0.9, 0.3]),
        ([90.0, -20.0, -100.0], [0.2, 0.9, 0.3]),
        ([-140.0, 40.0, 110.0], [-0.3, 0.5, 0.8]),
        ([-330.0, 30.0, 105.0], [0.3, 0.5, 0.8]),
    ]);
    for (at, normal) in &mut list[4..] {
        (0..3).for_each(|c| at[c] += draw.even(-20.0, 20.0));
        (0..3).for_each(|c| normal[c] += draw.even(-0.08, 0.08));
    }
    let mut plates: Vec<Pose> = list.into_iter().map(|(at, normal)| plate(at, normal, draw)).collect();
    // The bar: two markers of one print, 200 mm apart.
    let a = plate([-100.0, 330.0, -270.0], [0.0, 0.3, 0.95], draw);
    let along = a.turn * DVec3::X;
    plates.push(a);
    plates.push(Pose { turn: a.turn, shift: a.shift + along * 200.0 });
    plates.push(plate([210.0, 120.0, -180.0], [-0.5, 0.6, 0.6], draw));
    plates.push(plate([-640.0, 150.0, -200.0], [0.6, 0.5, 0.6], draw));
    plates
}

fn camera(draw: &mut Draw) -> Pose {
    let target = DVec3::new(draw.even(-330.0, 0.0), draw.even(60.0, 260.0), draw.even(-220.0, -20.0));
    let (turn, rise) = (draw.even(-0.8, 0.8), draw.even(0.35, 1.15));
    let away = DVec3::new(turn.sin() * rise.cos(), turn.cos() * rise.cos(), rise.sin());
    let place = target + away * draw.even(560.0, 900.0);
    let z = (target - place).normalize();
    let x = z.cross(DVec3::Z).normalize();
    let axes = DQuat::from_mat3(&DMat3::from_cols(x, z.cross(x), z).transpose());
    let turn =
        DQuat::from_rotation_z(draw.even(-0.3, 0.3) + if draw.even(0.0, 1.0) < 0.3 { FRAC_PI_2 } else { 0.0 }) * axes;
    Pose { turn, shift: -(turn * place) }
}

/// What is printed at a place of a plate, in half sides: 1 white, 0 black.
fn printed(tag: usize, p: DVec2, dots: &[DVec2; 4]) -> f64 {
    const INK: f64 = 0.035;
    const PAPER: f64 = 0.80;
    if p.abs().max_element() < 1.0 {
        let cell = ((p + DVec2::ONE) * 4.0).floor();
        let (x, y) = (cell.x.clamp(0.0, 7.0) as usize, cell.y.clamp(0.0, 7.0) as usize);
        return if marker_cells(tag as u32)[y][x] { PAPER } else { INK };
    }
    for dot in dots {
        let d = p - *dot;
        if d.length() < DOT_RADIUS && d.x * d.y > 0.0 {
            return INK;
        }
    }
    PAPER
}

/// Renders and searches a set.
pub fn set(seed: u64, plan: SetPlan) -> Set {
    set_with(seed, plan, &mut |_, _| ())
}

/// The same; `keep` is given each photo with its number before it is searched.
pub fn set_with(seed: u64, plan: SetPlan, keep: &mut dyn FnMut(usize, &Grey)) -> Set {
    let draw = &mut Draw::new(seed);
    let plates = bay(draw);
    let height = plan.width * 3 / 4;
    let f = plan.width as f64 * draw.even(0.74, 0.80);
    let lens = Lens([
        f,
        plan.width as f64 / 2.0 + draw.even(-8.0, 8.0),
        height as f64 / 2.0 + draw.even(-8.0, 8.0),
        draw.even(0.03, 0.09),
        draw.even(-0.18, -0.08),
        draw.even(0.02, 0.07),
        draw.even(-4e-4, 4e-4),
        draw.even(-4e-4, 4e-4),
    ]);
    let half_mm = SIDE / 2.0 * plan.print;
    let dots: Vec<[DVec2; 4]> = plates
        .iter()
        .map(|_| DOTS.map(|d| d + DVec2::new(draw.normal(), draw.normal()) * (plan.bend / half_mm)))
        .collect();
    let moved = plan.moved.map(|(p, _)| {
        let by = DVec3::new(draw.normal(), draw.normal(), draw.normal()).normalize() * draw.even(5.0, 12.0);
        let turn = DQuat::from_scaled_axis(DVec3::new(draw.normal(), draw.normal(), draw.normal()).normalize() * 0.05);
        Pose { turn: turn * plates[p].turn, shift: plates[p].shift + by }
    });
    let mut photos = Vec::new();
    for photo in 0..plan.photos {
        let mut here = plates.clone();
        if let (Some((p, at)), Some(pose)) = (plan.moved, moved)
            && photo >= at
        {
            here[p] = pose;
        }
        let wobble = [
            0.001 * draw.normal(),
            0.0005 * plan.width as f64 * draw.normal(),
            0.0005 * plan.width as f64 * draw.normal(),
        ];
        let view =
            View { lens: lens.wobbled(wobble), camera: camera(draw), plates: &here, dots: &dots, plan: &plan, half_mm };
        let grey = view.photo(draw, plan.width, height);
        keep(photo, &grey);
        photos.push(Photo { sightings: detect(&grey).sightings, lens: 0 });
    }
    let bar = plates[16].shift.distance(plates[17].shift);
    let size = [plan.width as f64, height as f64];
    let lenses = vec![LensStart { f: f * draw.even(0.96, 1.04), size }];
    Set { input: PhotoInput { photos, lenses, side: SIDE, sides: Vec::new() }, plates, moved, bar }
}

/// One photo of a set without wobble, not searched.
pub fn photo(seed: u64, plan: SetPlan) -> Grey {
    let draw = &mut Draw::new(seed);
    let plates = bay(draw);
    let (width, height) = (plan.width, plan.width * 3 / 4);
    let lens = Lens::plain(0.77 * width as f64, width as f64 / 2.0, height as f64 / 2.0);
    let dots = vec![DOTS; plates.len()];
    let half_mm = SIDE / 2.0 * plan.print;
    View { lens, camera: camera(draw), plates: &plates, dots: &dots, plan: &plan, half_mm }.photo(draw, width, height)
}

struct View<'a> {
    lens: Lens,
    camera: Pose,
    plates: &'a [Pose],
    dots: &'a [[DVec2; 4]],
    plan: &'a SetPlan,
    half_mm: f64,
}

/// Directions of pixels, worked out on a lattice and interpolated: off by less than a thousandth of a pixel.
struct Rays {
    columns: usize,
    lattice: Vec<DVec2>,
}

const LATTICE: f64 = 8.0;

impl Rays {
    fn of(lens: &Lens, width: usize, height: usize) -> Rays {
        let columns = width / LATTICE as usize + 3;
        let rows = height / LATTICE as usize + 3;
        let point = |i: usize| DVec2::new((i % columns) as f64 - 1.0, (i / columns) as f64 - 1.0) * LATTICE;
        Rays { columns, lattice: (0..columns * rows).map(|i| lens.direction(point(i))).collect() }
    }

    fn at(&self, p: DVec2) -> DVec2 {
        let q = p / LATTICE + 1.0;
        let (i, t) = (q.floor(), q - q.floor());
        let k = i.y as usize * self.columns + i.x as usize;
        let (above, below) = (
            self.lattice[k].lerp(self.lattice[k + 1], t.x),
            self.lattice[k + self.columns].lerp(self.lattice[k + self.columns + 1], t.x),
        );
        above.lerp(below, t.y)
    }
}

/// Samples along a pixel's side.
const SAMPLES: usize = 3;

impl View<'_> {
    fn photo(&self, draw: &mut Draw, width: usize, height: usize) -> Grey {
        let mut light = background(draw, width, height);
        let rays = Rays::of(&self.lens, width, height);
        let mut depth = vec![f64::INFINITY; width * height];
        let poses: Vec<Pose> = self.plates.iter().map(|p| self.camera.after(p)).collect();
        for (tag, pose) in poses.iter().enumerate() {
            self.plate(tag, pose, &rays, (&mut light, &mut depth), draw, [width, height]);
        }
        let motion = DVec2::from_angle(draw.even(0.0, TAU)) * self.plan.motion;
        let light = blurred(&light, width, height, self.plan.blur, motion);
        let mut values: Vec<f64> = light.iter().map(|v| 255.0 * srgb(*v * 0.95)).collect();
        if self.plan.sharpen > 0.0 {
            let soft = blurred(&values, width, height, 1.2, DVec2::ZERO);
            values.iter_mut().zip(soft).for_each(|(v, s)| *v += self.plan.sharpen * (*v - s));
        }
        let bytes: Vec<u8> = values.iter().map(|v| (v + 1.5 * draw.normal()).round().clamp(0.0, 255.0) as u8).collect();
        let mut jpeg = Vec::new();
        JpegEncoder::new_with_quality(&mut jpeg, self.plan.quality)
            .write_image(&bytes, width as u32, height as u32, ExtendedColorType::L8)
            .expect("encodes");
        let back: GrayImage = image::ImageReader::new(Cursor::new(jpeg))
            .with_guessed_format()
            .expect("reads")
            .decode()
            .expect("decodes")
            .into_luma8();
        Grey::new(width, height, back.into_raw()).expect("all pixels")
    }

    fn plate(
        &self,
        tag: usize,
        pose: &Pose,
        rays: &Rays,
        (light, depth): (&mut [f64], &mut [f64]),
        draw: &mut Draw,
        [width, height]: [usize; 2],
    ) {
        let half = self.half_mm * self.plan.misprinted.map_or(1.0, |(p, size)| if p == tag { size } else { 1.0 });
        let shade = draw.even(0.75, 1.0);
        // A cover: a half plane over one corner.
        let cover = (draw.even(0.0, 1.0) < self.plan.covered)
            .then(|| (DVec2::from_angle(draw.even(0.0, TAU)), draw.even(0.2, 1.6)));
        let normal = pose.turn * DVec3::NEG_Z;
        if normal.dot(pose.shift) >= 0.0 || pose.shift.z < 100.0 {
            return;
        }
        let corners: Option<Vec<DVec2>> = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .into_iter()
            .map(|(x, y)| self.lens.project(pose.apply(DVec3::new(x, y, 0.0) * WHITE * half)))
            .collect();
        let Some(corners) = corners else { return };
        let low = corners.iter().copied().reduce(DVec2::min).unwrap_or_default().floor().max(DVec2::ZERO);
        let high = corners
            .iter()
            .copied()
            .reduce(DVec2::max)
            .unwrap_or_default()
            .ceil()
            .min(DVec2::new(width as f64 - 1.0, height as f64 - 1.0));
        if low.x > high.x || low.y > high.y || (high - low).max_element() > width as f64 * 0.5 {
            return;
        }
        let (x_axis, y_axis) = (pose.turn * DVec3::X, pose.turn * DVec3::Y);
        for y in low.y as usize..=high.y as usize {
            for x in low.x as usize..=high.x as usize {
                let i = y * width + x;
                if pose.shift.z > depth[i] {
                    continue;
                }
                let (mut sum, mut hits) = (0.0, 0);
                for k in 0..SAMPLES * SAMPLES {
                    let off = DVec2::new((k % SAMPLES) as f64, (k / SAMPLES) as f64) + 0.5;
                    let at = DVec2::new(x as f64, y as f64) - 0.5 + off / SAMPLES as f64;
                    let ray = rays.at(at).extend(1.0);
                    let hit = ray * (pose.shift.dot(normal) / ray.dot(normal)) - pose.shift;
                    let p = DVec2::new(hit.dot(x_axis), hit.dot(y_axis)) / half;
                    if p.abs().max_element() < WHITE && cover.is_none_or(|(n, d)| p.dot(n) < d) {
                        sum += shade * printed(tag, p, &self.dots[tag]);
                        hits += 1;
                    }
                }
                let part = hits as f64 / (SAMPLES * SAMPLES) as f64;
                if hits > 0 {
                    light[i] = light[i] * (1.0 - part) + sum / (SAMPLES * SAMPLES) as f64;
                    depth[i] = pose.shift.z;
                }
            }
        }
    }
}

/// Dark parts with edges: bars across a slow change of light.
fn background(draw: &mut Draw, width: usize, height: usize) -> Vec<f64> {
    let mut light: Vec<f64> = (0..width * height)
        .map(|i| 0.10 + 0.06 * ((i % width) as f64 * 0.004).sin() * ((i / width) as f64 * 0.006).cos())
        .collect();
    for _ in 0..60 {
        let (cx, cy) = (draw.even(0.0, width as f64), draw.even(0.0, height as f64));
        let (along, long, thick) =
            (DVec2::from_angle(draw.even(0.0, PI)), draw.even(20.0, 300.0), draw.even(4.0, 60.0));
        let value = draw.even(0.01, 0.4);
        let reach = long + thick;
        let range = |c: f64, most: usize| (c - reach).max(0.0) as usize..((c + reach).max(0.0) as usize).min(most);
        for y in range(cy, height) {
            for x in range(cx, width) {
                let d = DVec2::new(x as f64 - cx, y as f64 - cy);
                if d.dot(along).abs() < long && d.perp_dot(along).abs() < thick {
                    light[y * width + x] = value;
                }
            }
        }
    }
    light
}

fn srgb(v: f64) -> f64 {
    if v <= 0.003_130_8 { 12.92 * v.max(0.0) } else { 1.055 * v.min(1.5).powf(1.0 / 2.4) - 0.055 }
}

/// Gaussian blur of `sd` pixels, then the mean along a motion.
fn blurred(light: &[f64], width: usize, height: usize, sd: f64, motion: DVec2) -> Vec<f64> {
    let reach = (3.0 * sd).ceil() as i64;
    let kernel: Vec<f64> = (-reach..=reach).map(|i| (-0.5 * (i as f64 / sd).powi(2)).exp()).collect();
    let total: f64 = kernel.iter().sum();
    let pass = |from: &[f64], dx: usize, dy: usize| -> Vec<f64> {
        let mut out = vec![0.0; from.len()];
        for y in 0..height {
            for (i, w) in kernel.iter().enumerate() {
                let k = i as i64 - reach;
                let v = (y as i64 + k * dy as i64).clamp(0, height as i64 - 1) as usize;
                let shift = k * dx as i64;
                let (line, row) = (&mut out[y * width..(y + 1) * width], &from[v * width..(v + 1) * width]);
                let weight = w / total;
                for (x, value) in line.iter_mut().enumerate() {
                    *value += weight * row[(x as i64 + shift).clamp(0, width as i64 - 1) as usize];
                }
            }
        }
        out
    };
    let soft = pass(&pass(light, 1, 0), 0, 1);
    if motion.length() < 0.3 {
        return soft;
    }
    let steps = (2.0 * motion.length()).ceil() as i64;
    let mut out = vec![0.0; soft.len()];
    for k in 0..=steps {
        let off = motion * (k as f64 / steps as f64 - 0.5);
        let (dx, dy) = (off.x.round() as i64, off.y.round() as i64);
        for y in 0..height as i64 {
            for x in 0..width as i64 {
                let (u, v) = ((x + dx).clamp(0, width as i64 - 1), (y + dy).clamp(0, height as i64 - 1));
                out[(y * width as i64 + x) as usize] += soft[(v * width as i64 + u) as usize] / (steps + 1) as f64;
            }
        }
    }
    out
}
