//! Kills, full disks, places that cannot be written and odd names, as a user meets them.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::user::{PROGRAM, STOCK, TUBE, all_output, example, folder, run};

/// A job of two measured trial pieces, quick to cut.
fn trial_pieces(at: &Path) {
    fs::create_dir_all(at).unwrap();
    let job = format!("{TUBE}{STOCK}");
    fs::write(at.join("job.toml"), job).unwrap();
    let routes = "format = 1\n[[primary]]\ncylinder = 1\nsteps = [[60, 0, 90, 76.2], [80.0]]\n\
                  [[primary]]\ncylinder = 2\nsteps = [[90, 0, 120, 76.2], [40, 90, 60, 76.2], [120.0]]\n";
    fs::write(at.join("routes.toml"), routes).unwrap();
}

/// Names of what lies in a folder, hidden files too.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_full_disk_leaves_the_old_file_and_no_stray_ones() {
    let job = folder("full-disk");
    trial_pieces(&job);
    let path = job.to_str().unwrap();
    let file = job.join("cutplan.json");
    for old in [None, Some("the old one")] {
        old.iter().for_each(|o| fs::write(&file, o).unwrap());
        let before = names(&job);
        // Files may have no more than 512 bytes; the signal that comes with it is passed over, as on a full disk.
        let full = Command::new("sh")
            .args(["-c", "trap '' XFSZ; ulimit -f 1; exec \"$0\" cut \"$1\"", PROGRAM, path])
            .output()
            .unwrap();
        assert_eq!(full.status.code(), Some(2), "{}", all_output(&full));
        assert!(all_output(&full).contains("cutplan.json cannot be written"), "{}", all_output(&full));
        assert_eq!(names(&job), before);
        assert_eq!(fs::read_to_string(&file).ok().as_deref(), old);
    }
    assert_eq!(run(&["cut", path]).status.code(), Some(0));
}

#[test]
fn a_kill_at_any_moment_leaves_whole_files() {
    let job = folder("killed");
    trial_pieces(&job);
    let path = job.to_str().unwrap();
    assert_eq!(run(&["cut", path]).status.code(), Some(0));
    let mut killed = 0;
    for i in 0..30 {
        // Another job each time, so that the old plan and the new one differ.
        let routes = fs::read_to_string(job.join("routes.toml")).unwrap();
        let last = routes.rfind("120, 76.2").map_or("121, 76.2", |_| "120, 76.2");
        let next = if last.starts_with("120") { "121, 76.2" } else { "120, 76.2" };
        fs::write(job.join("routes.toml"), routes.replace(last, next)).unwrap();
        let mut child =
            Command::new(PROGRAM).args(["cut", path]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(Duration::from_millis(i * 3));
        child.kill().unwrap();
        killed += usize::from(!child.wait().unwrap().success());
        let text = fs::read_to_string(job.join("cutplan.json")).unwrap();
        let plan: serde_json::Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{i}: {e}: {text}"));
        assert_eq!(plan["format"], 1);
    }
    assert!(killed > 0, "every one was done before it was killed");
    let priced = run(&["price", path]);
    assert_eq!(priced.status.code(), Some(0), "{}", all_output(&priced));
}

#[test]
fn a_place_that_cannot_be_written_is_named() {
    let here = folder("no-place");
    let job = example("hill-climb-four");
    let file = here.join("file");
    fs::write(&file, "kept").unwrap();
    for out in [file.clone(), file.join("below")] {
        let built = run(&["build", job.to_str().unwrap(), "--effort", "0", "-o", out.to_str().unwrap()]);
        assert_eq!(built.status.code(), Some(2), "{}", all_output(&built));
        assert!(all_output(&built).contains(out.to_str().unwrap()), "{}", all_output(&built));
        assert_eq!(fs::read_to_string(&file).unwrap(), "kept");
    }
    let made = run(&["new", file.join("job").to_str().unwrap()]);
    assert_eq!(made.status.code(), Some(2), "{}", all_output(&made));
    assert!(!all_output(&made).contains("bug in Tubewright"), "{}", all_output(&made));
}

#[test]
fn any_name_is_taken_as_it_is() {
    let here = folder("names");
    let long = "n".repeat(200);
    for name in [
        "\u{645}\u{634}\u{639}\u{628}",
        "\u{6392}\u{6c14}",
        "\u{1F6E0} two  words",
        "#1 \"quoted\" 'job'",
        "$(x);&<b>",
        &long,
    ] {
        let job = here.join(name);
        let path = job.to_str().unwrap();
        let made = run(&["new", path]);
        assert_eq!(made.status.code(), Some(0), "{name}: {}", all_output(&made));
        let checked = run(&["check", path, "--json"]);
        assert_eq!(checked.status.code(), Some(0), "{name}: {}", all_output(&checked));
        let report: serde_json::Value = serde_json::from_slice(&checked.stdout).unwrap();
        assert_eq!(report["job"], name, "{report}");
    }
}

#[test]
fn files_that_are_no_text_are_refused_with_their_name() {
    let here = folder("no-text");
    let file = here.join("job.toml");
    let text = "format = 1\nname = \"x\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";
    let bad: [Vec<u8>; 5] = [
        text.replace('x', "\0").into_bytes(),
        [b"name = \"caf\xe9\"\n".as_slice(), text.as_bytes()].concat(),
        text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        vec![0xa5; 50 << 20],
        Vec::new(),
    ];
    for (i, bytes) in bad.into_iter().enumerate() {
        fs::write(&file, bytes).unwrap();
        let checked = run(&["check", here.to_str().unwrap()]);
        assert_eq!(checked.status.code(), Some(2), "{i}: {}", all_output(&checked));
        assert!(
            all_output(&checked).contains("job.toml") && all_output(&checked).len() < 4_000,
            "{i}: {}",
            all_output(&checked)
        );
    }
    fs::write(&file, format!("\u{feff}{}", text.replace('\n', "\r\n"))).unwrap();
    let checked = run(&["check", here.to_str().unwrap()]);
    assert_eq!(checked.status.code(), Some(0), "{}", all_output(&checked));
}
