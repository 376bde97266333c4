//! What is found in a folder of photos and how it is adjusted, as lines of comma-separated values for `checks/photos`:
//! `photo_scene FOLDER`. Photos are IMG_*.jpg of one lens with a side of 44 mm.
//!
//! `seen,photo,tag,x,y x 4` corners of a marker; `lens,f,cx,cy,k1,k2,k3,p1,p2`;
//! `photo,number,name,f,cx,cy,qx,qy,qz,qw,tx,ty,tz` its own focal length and centre, and from world to camera;
//! `plate,number,qx,qy,qz,qw,tx,ty,tz` from plate to world; `dot,photo,x,y,X,Y,Z,plate,u,v,w,sd` a dot or crossing that counts, where it is
//! with its bending, where it is drawn on its plate, and its standard deviation in pixels.

use std::fs;
use std::io;
use std::sync::atomic::AtomicBool;

use survey::photo::camera::Pose;
use survey::photo::detect::detect;
use survey::photo::grey::Grey;
use survey::photo::survey::{LensStart, Photo, PhotoAnswer, PhotoInput, adjust};

fn main() -> io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "checks/photos/given".into());
    lines(&folder)?.iter().for_each(|line| println!("{line}"));
    Ok(())
}

/// The lines.
pub fn lines(folder: &str) -> io::Result<Vec<String>> {
    let mut out = Vec::new();
    let mut names: Vec<String> =
        fs::read_dir(folder)?.flatten().filter_map(|e| e.file_name().into_string().ok()).collect();
    names.retain(|name| name.ends_with(".jpg"));
    names.sort();
    let mut photos = Vec::new();
    let mut size = [0.0; 2];
    for name in &names {
        let picture = image::open(format!("{folder}/{name}")).map_err(io::Error::other)?.into_luma8();
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        size = [width as f64, height as f64];
        let grey = Grey::new(width, height, picture.into_raw()).ok_or(io::ErrorKind::InvalidData)?;
        let sightings = detect(&grey).sightings;
        for s in &sightings {
            let corners: Vec<String> = s.corners.iter().map(|c| format!("{:.3},{:.3}", c.x, c.y)).collect();
            out.push(format!("seen,{name},{},{}", s.tag, corners.join(",")));
        }
        photos.push(Photo { sightings, lens: 0 });
    }
    let lenses = vec![LensStart { f: 0.75 * size[0], size }];
    let input = PhotoInput { photos, lenses, side: 44.0, sides: Vec::new() };
    let answer =
        adjust(&input, &AtomicBool::new(false)).ok_or_else(|| io::Error::other("the photos share too few markers"))?;
    out.extend(scene_lines(&names, &answer));
    Ok(out)
}

/// The lines of what was adjusted; `names` are those of all photos.
pub fn scene_lines(names: &[String], answer: &PhotoAnswer) -> Vec<String> {
    let scene = &answer.scene;
    let list = |values: &[f64]| values.iter().map(|v| format!("{v:.9}")).collect::<Vec<_>>().join(",");
    let pose_of = |pose: &Pose| {
        let (turn, shift) = (pose.turn, pose.shift);
        list(&[turn.x, turn.y, turn.z, turn.w, shift.x, shift.y, shift.z])
    };
    let mut out = vec![format!("lens,{}", list(&scene.lenses[0].0))];
    for (number, (photo, pose)) in answer.cameras.iter().enumerate() {
        let lens = scene.lenses[0].wobbled(scene.wobble[number]);
        out.push(format!("photo,{number},{},{},{}", names[*photo], list(&lens.0[..3]), pose_of(pose)));
    }
    out.extend(scene.plates.iter().enumerate().map(|(plate, pose)| format!("plate,{plate},{}", pose_of(pose))));
    for o in answer.seen.iter().filter(|o| o.used) {
        let drawn = scene.marks[o.plate][o.mark];
        let place = scene.plates[o.plate].apply(drawn + scene.bends[o.plate][o.mark]);
        let (at, place, drawn) = (list(&o.at.to_array()), list(&place.to_array()), list(&drawn.to_array()));
        let sd = list(&[answer.scatters.seen(o)]);
        out.push(format!("dot,{},{at},{place},{},{drawn},{sd}", o.photo, o.plate));
    }
    out
}
