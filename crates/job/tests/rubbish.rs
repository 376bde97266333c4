//! The readers fed with rubbish made on purpose: other line ends, bytes that are no text, files that would keep a
//! careless reader busy for hours. Files damaged at random are fed to them in `fuzz/tests/texts.rs`.
#![allow(clippy::unwrap_used)]

const FULL: &str = include_str!("full.toml");
fn job(bytes: &[u8], shop: Option<(&str, &[u8])>) -> Result<job::model::Job, job::Problems> {
    job::read_job("job.toml", bytes, "x", &job::no_mesh_files, shop).map(|(job, _, _)| job)
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
fn hostile_files_are_refused() {
    let nested = format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    let dotted = format!("{} = 1\n", ["a"; 50_000].join("."));
    let one_line = format!("x = [{}]\n", "1 ,".repeat(500_000));
    let broken = "= = =\n".repeat(200_000);
    let unknown: String = (0..100_000).map(|i| format!("k{i} = 1\n")).collect();
    let ports = "[[port]]\ncylinder = 1\nat = [0,0,0]\naxis = [0,1,0]\n".repeat(3_000);
    let collectors: String =
        (0..1_500).map(|i| format!("[[collector]]\nname = \"c{i}\"\nat = [{i},0,0]\naxis = [0,1,0]\nup = [0,0,1]\ninlets = 4\nfeeds = \"c{}\"\n", i + 1)).collect();
    for text in [nested, dotted, one_line, broken, unknown, ports, collectors] {
        let problems = job(text.as_bytes(), None).unwrap_err();
        presentable(&problems);
    }
}
