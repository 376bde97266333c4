//! The readers fed with rubbish: they answer, they never panic, and they do not take long.
//!
//! Mutations are made from good and bad jobs with a small generator of its own (splitmix64), so each run is
//! the same. `RUBBISH=100000 cargo test -p job --test rubbish` runs more of them.
#![allow(clippy::unwrap_used)]

use std::path::Path;
use std::time::Instant;

const FULL: &str = include_str!("full.toml");
const ROUTES: &str = "format = 1\nunits = \"mm\"\n\n[[primary]]\ncylinder = 1\ncollector = \"main\"\ninlet = 3\npoints = [[0,0,0], [150,0,0], [150,150,0]]\nradii = [76.2]\nlocked = true\n\n[[primary]]\ncylinder = 2\nsteps = [[100.0, 0.0, 90.0, 76.2], [50.0, 90.0, 180.0, \"3 in\"], [30.0]]\n\n[[tail]]\nfrom = \"main\"\npoints = [[0,0,0], [1500,0,0]]\nradii = []\n\n[[collector]]\nname = \"main\"\nat = [0,0,0]\naxis = [1,0,0]\nup = [0,0,1]\n";

/// splitmix64, the public-domain generator of Sebastiano Vigna.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

const TOKENS: [&str; 36] = [
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'",
    "=",
    ",",
    ".",
    "#",
    "\n",
    "\r\n",
    "[[port]]\n",
    "[tail]\n",
    "nan",
    "-inf",
    "1e308",
    "-1e308",
    "0",
    "-0.0",
    "99999999999999999999",
    "\"1 5/8 in\"",
    "\"1/0 in\"",
    "\"DN 40 sch 10\"",
    "\"x\"",
    "true",
    "[[0,0,0],[0,0,0]]",
    "\"\"\"",
    "'''",
    "\\u0000",
    "\u{0}",
    "\u{feff}",
    "\u{1F6E0}",
    "1979-05-27",
    "0x7fffffffffffffff",
    "a.b.c",
];

/// A text with a few changes: bytes flipped, stretches cut, doubled or swapped, values replaced.
fn mutated(text: &str, random: &mut Random) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..1 + random.below(4) {
        let at = random.below(bytes.len());
        let to = (at + random.below(40)).min(bytes.len());
        match random.below(7) {
            0 => bytes.truncate(at.max(1)),
            1 => bytes[at] = random.next() as u8,
            2 => drop(bytes.splice(at..at, TOKENS[random.below(TOKENS.len())].bytes())),
            3 => drop(bytes.drain(at..to)),
            4 => {
                let copy = bytes[at..to].to_vec();
                let there = random.below(bytes.len());
                drop(bytes.splice(there..there, copy));
            }
            _ => {
                // The value of a line, so that the fault is beyond the syntax.
                let starts: Vec<usize> =
                    bytes.windows(3).enumerate().filter(|(_, w)| w == b" = ").map(|(i, _)| i + 3).collect();
                if let Some(from) = starts.get(random.below(starts.len())).copied() {
                    let end = bytes[from..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |i| from + i);
                    drop(bytes.splice(from..end, TOKENS[random.below(TOKENS.len())].bytes()));
                }
            }
        }
        if bytes.is_empty() {
            bytes.push(b'\n');
        }
    }
    bytes
}

fn runs() -> usize {
    std::env::var("RUBBISH").ok().and_then(|n| n.parse().ok()).unwrap_or(6_000)
}

fn job(bytes: &[u8], shop: Option<(&str, &[u8])>) -> Result<job::model::Job, job::Problems> {
    job::read_job("job.toml", bytes, "x", &|_| Err(std::io::ErrorKind::NotFound.into()), shop).map(|(job, _, _)| job)
}

/// What is said must be fit to be shown.
fn presentable(problems: &job::Problems) {
    assert!(problems.has_errors());
    let text = problems.to_string();
    assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text:?}");
    for p in &problems.0 {
        assert!(!p.message.is_empty() && !p.hint.is_empty(), "{p}");
        if let Some(s) = &p.place.spot {
            assert!(s.line >= 1 && s.column >= 1 && s.mark_len >= 1);
        }
    }
    let _ = problems.to_json().to_string();
}

#[test]
fn no_rubbish_in_a_job_makes_the_reader_panic() {
    let mut texts = vec![FULL.to_string()];
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/bad-jobs");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    texts.extend(
        files
            .iter()
            .filter(|p| p.extension().is_some_and(|e| e == "toml"))
            .map(|p| std::fs::read_to_string(p).unwrap()),
    );
    let mut random = Random(1);
    let (mut good, mut bad) = (0, 0);
    for i in 0..runs() {
        let text = if i % 2 == 0 { &texts[0] } else { &texts[random.below(texts.len())] };
        match job(&mutated(text, &mut random), None) {
            Ok(_) => good += 1,
            Err(problems) => {
                bad += 1;
                presentable(&problems);
            }
        }
    }
    assert!(bad > good / 4 && good > 0, "{good} good and {bad} bad: the mutations are too tame or too wild");
}

#[test]
fn no_rubbish_in_routes_or_a_shops_file_makes_the_readers_panic() {
    let full = job(FULL.as_bytes(), None).unwrap();
    let bare = "format = 1\nunits = \"mm\"\n[tube]\nod = 44.45\nwall = 1.65\nmaterial = \"304\"\n";
    let stock = format!("units = \"in\"\n{}", &FULL[FULL.find("[[stock.bend]]").unwrap()..]);
    let mut random = Random(2);
    for _ in 0..runs() / 3 {
        if let Err(problems) = job::file::routes_file::read("routes.toml", &mutated(ROUTES, &mut random), &full) {
            presentable(&problems);
        }
        if let Err(problems) = job(bare.as_bytes(), Some(("stock.toml", &mutated(&stock, &mut random)))) {
            presentable(&problems);
        }
    }
}

#[test]
fn line_ends_and_byte_order_marks_change_nothing() {
    let plain = job(FULL.as_bytes(), None).unwrap();
    let windows = format!("\u{feff}{}", FULL.replace('\n', "\r\n"));
    assert_eq!(format!("{:?}", job(windows.as_bytes(), None).unwrap()), format!("{plain:?}"));
}

#[test]
fn what_is_no_text_says_so() {
    let mut bytes = FULL.as_bytes().to_vec();
    bytes[40] = 0xff;
    let problems = job(&bytes, None).unwrap_err();
    assert_eq!(problems.0[0].code, "not-utf8");
    assert_eq!(problems.0[0].place.spot.as_ref().unwrap().line, 3);
    assert_eq!(job(b"\xff\xfe[\0t\0u\0b\0e\0]\0", None).unwrap_err().0[0].code, "not-utf8");
    assert_eq!(job(&vec![b'#'; 5 << 20], None).unwrap_err().0[0].code, "file-too-long");
}

#[test]
fn hostile_files_take_no_long_time() {
    let nested = format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    let dotted = format!("{} = 1\n", ["a"; 50_000].join("."));
    let one_line = format!("x = [{}]\n", "1 ,".repeat(500_000));
    let broken = "= = =\n".repeat(200_000);
    let unknown: String = (0..100_000).map(|i| format!("k{i} = 1\n")).collect();
    let ports = "[[port]]\ncylinder = 1\nat = [0,0,0]\naxis = [0,1,0]\n".repeat(3_000);
    let collectors: String =
        (0..1_500).map(|i| format!("[[collector]]\nname = \"c{i}\"\nat = [{i},0,0]\naxis = [0,1,0]\nup = [0,0,1]\ninlets = 4\nfeeds = \"c{}\"\n", i + 1)).collect();
    for text in [nested, dotted, one_line, broken, unknown, ports, collectors] {
        let start = Instant::now();
        let problems = job(text.as_bytes(), None).unwrap_err();
        presentable(&problems);
        let took = start.elapsed().as_secs_f64();
        println!("{took:.2} s: {} bytes, {}", text.len(), &text[..text.len().min(40)].escape_debug());
        assert!(took < 5.0, "{took} s for a text that begins {}", &text[..text.len().min(60)]);
    }
}
