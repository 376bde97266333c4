use std::collections::BTreeMap;

use krilla::SerializeSettings;

use super::chunk::Placed;
use super::text::{Style, Typesetter};
use super::*;
use crate::paper::{BOTTOM, Paper};
use crate::sheet::{Anchor, Block, Column, Drawing, PenStep, Sheet, SheetKind, Side, Stroke, Table, TextStyle};

fn frame() -> Frame {
    let text = |text: &str| text.to_string();
    Frame {
        job: text("test"),
        paper: Paper::A4,
        left: text("revision B"),
        middle: text("data 0a1b"),
        flag: String::new(),
    }
}

fn sheet(blocks: Vec<Block>) -> Sheet {
    Sheet { blocks, ..Sheet::new(SheetKind::Saw, "Saw sheet b1", "cut") }
}

/// The lines of each page of a sheet: what they say, and how far down their baseline is, mm.
fn lines(sheet: &Sheet) -> Vec<Vec<(String, f64)>> {
    let mut typesetter = Typesetter::new(&Fonts::default());
    let set = SetSheet::new(sheet, &frame(), &mut typesetter);
    let line = |item: &Placed<'_>| match item {
        Placed::Line(words, line, at) => Some((words.line_text(*line).trim().to_string(), at[1])),
        _ => None,
    };
    set.pages.iter().map(|page| page.iter().filter_map(line).collect()).collect()
}

fn page_of(pages: &[Vec<(String, f64)>], text: &str) -> usize {
    pages.iter().position(|page| page.iter().any(|line| line.0 == text)).unwrap_or_else(|| panic!("{text}: {pages:?}"))
}

/// The file with its pages in plain text.
fn plain_bytes(sheets: &[Sheet]) -> String {
    let settings = SerializeSettings { compress_content_streams: false, ..settings() };
    let pdf = write_with(sheets, &frame(), &Fonts::default(), settings).unwrap();
    String::from_utf8_lossy(&pdf.bytes).into_owned()
}

fn long_table(rows: usize) -> Table {
    let mut table = Table::new(vec![Column::left("mark"), Column::wide("what it is", 1.0)]);
    for row in 1..=rows {
        let words = "a bend of two legs and a straight ".repeat(1 + row % 7);
        table.row(vec![format!("P{row}"), words]);
    }
    table
}

#[test]
fn a_table_repeats_its_heads_and_keeps_its_rows_whole() {
    let table = long_table(100);
    let pages = lines(&sheet(vec![Block::Text(TextStyle::Plain, "before".into()), Block::Table(table)]));
    assert!(pages.len() > 2, "{}", pages.len());
    for page in &pages {
        assert_eq!(page.iter().filter(|l| l.0 == "mark").count(), 1);
        assert!(page.iter().all(|l| l.1 < 297.0 - BOTTOM + 1e-6));
    }
    assert_eq!(pages[1][0].0, "mark");
    let mut body: BTreeMap<usize, usize> = BTreeMap::new();
    for (number, page) in pages.iter().enumerate() {
        let marks: Vec<usize> = page.iter().filter_map(|l| l.0.strip_prefix('P')?.parse().ok()).collect();
        let said: usize = page.iter().map(|l| l.0.matches("legs").count()).sum();
        // Every row of a page has all its words there.
        assert_eq!(said, marks.iter().map(|row| 1 + row % 7).sum::<usize>(), "page {number}");
        marks.into_iter().for_each(|row| assert!(body.insert(row, number).is_none()));
    }
    assert_eq!(body.len(), 100);
}

#[test]
fn a_row_higher_than_a_page_runs_on() {
    let mut table = Table::new(vec![Column::left("mark"), Column::wide("what it is", 1.0)]);
    table.row(vec!["P1".into(), "one word after the other ".repeat(2000)]);
    let pages = lines(&sheet(vec![Block::Table(table)]));
    assert!(pages.len() > 4);
    let said: usize = pages.iter().flatten().map(|l| l.0.matches("other").count()).sum();
    assert_eq!(said, 2000);
    assert!(pages.iter().flatten().all(|l| l.1 < 297.0 - BOTTOM + 1e-6));
}

#[test]
fn a_heading_goes_with_what_it_heads() {
    for room in 0..=30 {
        let drawing = Drawing::new(50.0, 30.0);
        let blocks = vec![
            Block::Room(220.0 + f64::from(room)),
            Block::Text(TextStyle::Plain, "above".into()),
            Block::Heading("Heading".into()),
            Block::Drawing(drawing),
            Block::Text(TextStyle::Plain, "below".into()),
            Block::Heading("Table".into()),
            Block::Table(long_table(2)),
        ];
        let pages = lines(&sheet(blocks));
        let heading = page_of(&pages, "Heading");
        let at = pages[heading].iter().find(|l| l.0 == "Heading").unwrap().1;
        assert!(at + 2.2 + 30.0 < 297.0 - BOTTOM, "{room}");
        assert_eq!(page_of(&pages, "Table"), page_of(&pages, "mark"));
        assert_eq!(page_of(&pages, "mark"), page_of(&pages, "P1"));
        assert_eq!(page_of(&pages, "above"), 0);
    }
}

#[test]
fn columns_side_by_side_begin_on_one_line() {
    let text = |text: &str| Block::Text(TextStyle::Plain, text.into());
    let columns = vec![(1.0, vec![text("left"), text("left below")]), (2.0, vec![text("right")])];
    let pages = lines(&sheet(vec![text("above"), Block::Columns(columns), text("after")]));
    let at = |text: &str| pages[0].iter().find(|l| l.0 == text).unwrap().1;
    assert!((at("left") - at("right")).abs() < 1e-9);
    assert!(at("after") > at("left below") && at("left below") > at("left"));
}

#[test]
fn names_of_every_script_are_shaped_and_ordered() {
    let mut typesetter = Typesetter::new(&Fonts::default());
    for name in
        ["Krümmer Ω Ж", "מסעף 3A", "مجمع العادم", "निकास पाइप", "ท่อไอเสีย", "排気管", "배기관", "🔧🏁 pipe", "fi ffi"]
    {
        let words = typesetter.words(name, Style::plain());
        let runs = words.runs(0);
        let mut covered = vec![false; name.len()];
        for glyph in runs.iter().flat_map(|run| &run.glyphs) {
            assert_ne!(glyph.glyph_id.to_u32(), 0, "{name}");
            covered[glyph.text_range.clone()].iter_mut().for_each(|c| *c = true);
        }
        assert!(covered.iter().all(|c| *c), "{name}: every character belongs to a glyph");
    }
}

#[test]
fn a_name_that_begins_from_right_to_left_is_ordered_so() {
    let mut typesetter = Typesetter::new(&Fonts::default());
    let first = |name: &str, typesetter: &mut Typesetter| {
        let words = typesetter.words(name, Style::plain());
        let mut runs = words.runs(0);
        runs.sort_by(|a, b| a.x.total_cmp(&b.x));
        name[runs[0].glyphs[0].text_range.clone()].to_string()
    };
    assert_eq!(first("צינור 3A", &mut typesetter), "3");
    assert_eq!(first("3A צינור", &mut typesetter), "3");
    assert_eq!(first("צינור", &mut typesetter), "ר");
}

#[test]
fn an_arabic_ligature_stands_for_both_its_letters() {
    let mut typesetter = Typesetter::new(&Fonts::default());
    let name = "سلام";
    let words = typesetter.words(name, Style::plain());
    let mut texts: Vec<String> =
        words.runs(0)[0].glyphs.iter().map(|glyph| name[glyph.text_range.clone()].to_string()).collect();
    texts.dedup();
    assert_eq!(texts, ["م", "لا", "س"]);
}

#[test]
fn a_long_word_is_broken_and_keeps_its_letters() {
    let mut typesetter = Typesetter::new(&Fonts::default());
    let name = "Donaudampfschifffahrtsgesellschaftskapitänsmütze".repeat(4);
    let words = typesetter.lines(&name, Style::plain(), 30.0, Side::Left);
    assert!(words.lines() > 4 && words.width() <= 30.01, "{} {}", words.lines(), words.width());
    let all: String = (0..words.lines()).map(|line| words.line_text(line)).collect();
    assert_eq!(all, name);
}

#[test]
fn a_text_as_wide_as_its_column_stays_on_one_line() {
    let mut typesetter = Typesetter::new(&Fonts::default());
    for text in ["1 3/4 x 0.065 in", "bend of 90.0°, CLR 76.2 mm", "שלום עולם", "counter-clockwise 12.5°"] {
        let words = typesetter.words(text, Style::plain());
        let width = words.width();
        assert_eq!(words.broken(width, Side::Right).lines(), 1, "{text}");
    }
}

/// White as the colour to fill with.
const WHITE: &str = " 1 1 1 scn";

#[test]
fn white_lies_under_a_text_over_a_line() {
    let drawn = |over: bool| {
        let mut drawing = Drawing::new(100.0, 20.0);
        drawing.line([0.0, 10.0], [100.0, 10.0], Stroke::black(0.35));
        drawing.text([50.0, 10.0], 3.0, Anchor::Middle, "12").over = over;
        plain_bytes(&[sheet(vec![Block::Drawing(drawing)])])
    };
    assert_eq!(drawn(true).matches(WHITE).count(), 1);
    assert_eq!(drawn(false).matches(WHITE).count(), 0);
}

#[test]
fn white_under_a_text_hides_no_other_text() {
    let mut drawing = Drawing::new(100.0, 20.0);
    for x in [50.0, 51.0] {
        drawing.text([x, 10.0], 3.0, Anchor::Middle, "12").over = true;
    }
    let pdf = plain_bytes(&[sheet(vec![Block::Drawing(drawing)])]);
    let white: Vec<usize> = pdf.match_indices(WHITE).map(|m| m.0).collect();
    let texts: Vec<usize> = pdf.match_indices("\nBT ").map(|m| m.0).collect();
    assert_eq!(
        (white.len(), texts.len()),
        (2, 3 + 2 + 4),
        "three texts in the head; three and the line of caution in the foot"
    );
    assert!(texts[2] < white[0] && white[1] < texts[3]);
}

#[test]
fn the_same_sheets_give_the_same_bytes() {
    let text = "Ω Ж שלום سلام कष ไทย 排気管 배기관 🔧 abc";
    let sheets = [sheet(vec![Block::Text(TextStyle::Plain, text.into()), Block::Table(long_table(60))])];
    let first = write_pdf(&sheets, &frame(), &Fonts::default()).unwrap();
    // Fonts that were read again, in a map with another order.
    for _ in 0..4 {
        let again = write_pdf(&sheets, &frame(), &Fonts::built_in()).unwrap();
        assert!(first == again);
    }
    assert!(first.bytes.len() < 120_000, "{} bytes: fonts are embedded as subsets", first.bytes.len());
}

#[test]
fn sheets_begin_on_pages_of_their_own() {
    let mut second = sheet(vec![Block::Text(TextStyle::Large, "wide".into())]);
    second.wide = true;
    let first = sheet(vec![Block::Table(long_table(60))]);
    let pdf = write_pdf(&[first, second], &frame(), &Fonts::default()).unwrap();
    assert_eq!(pdf.starts.len(), 2);
    assert_eq!(pdf.starts, [1, pdf.pages]);
}

#[test]
fn what_cannot_be_drawn_is_passed_over() {
    let mut drawing = Drawing::new(40.0, 40.0);
    drawing.window = true;
    drawing.line([f64::NAN, 0.0], [1.0, 1.0], Stroke::black(0.3));
    drawing.path(vec![PenStep::Move([1.0, 1.0])], Some(Stroke::black(0.3)), None);
    for (size, text) in [(0.0, "no size"), (f64::NAN, "no number"), (3.0, ""), (3.0, "\u{0}\t\u{7f}\u{200b}\n\n")] {
        drawing.text([10.0, 10.0], size, Anchor::Left, text);
    }
    drawing.text([f64::INFINITY, 1.0], 3.0, Anchor::Top, "far").over = true;
    let marked = format!("e{}", "\u{301}".repeat(700));
    let flat = Drawing { window: true, ..Drawing::new(0.0, 0.0) };
    let blocks = vec![
        Block::Drawing(drawing),
        Block::Drawing(flat),
        Block::Text(TextStyle::Plain, marked),
        Block::Text(TextStyle::Plain, String::new()),
        Block::Table(Table::new(vec![Column::left("head")])),
        Block::Columns(Vec::new()),
        Block::Blanks(vec!["only one".into()]),
        Block::Heading("last".into()),
    ];
    assert_eq!(write_pdf(&[sheet(blocks)], &frame(), &Fonts::default()).unwrap().pages, 1);
    assert!(write_pdf(&[], &frame(), &Fonts::default()).is_ok());
}

#[test]
fn blocks_that_stand_together_go_over_to_the_next_page_together() {
    for above in [1.0, 120.0, 220.0] {
        let whole = Block::Whole(vec![Block::Heading("Together".into()), Block::Table(long_table(6))]);
        let drawing = Block::Drawing(Drawing::new(100.0, above));
        let pages = lines(&sheet(vec![drawing, Block::Text(TextStyle::Plain, "above".into()), whole]));
        let page = page_of(&pages, "Together");
        assert!((1..=6).all(|row| page_of(&pages, &format!("P{row}")) == page), "{above}");
        assert_eq!((page_of(&pages, "above"), page), (0, usize::from(above > 150.0)), "{above}");
    }
}

#[test]
fn characters_that_no_font_has_are_named_in_order() {
    let blocks = vec![Block::Text(TextStyle::Plain, "ab\u{13000}\n".into()), Block::Points(vec!["\u{12000} ß".into()])];
    let missing = missing_characters(&[sheet(blocks)], "\u{13000}", &Fonts::default());
    assert_eq!(missing, ['\u{12000}', '\u{13000}']);
}

#[test]
fn short_sheets_share_a_page_and_a_long_one_has_its_own() {
    let short =
        |title: &str| Sheet { title: title.into(), ..sheet(vec![Block::Text(TextStyle::Plain, "a line".into())]) };
    let long = sheet(vec![Block::Drawing(Drawing::new(100.0, 255.0))]);
    let pdf = write_pdf(&[short("one"), short("two"), long, short("three")], &frame(), &Fonts::default()).unwrap();
    assert_eq!((pdf.pages, &pdf.starts[..]), (2, &[1, 1, 2, 1][..]));
}

#[test]
fn a_long_title_stays_on_the_page() {
    let title = "Merge collector of four tubes that has a very long name ".repeat(4);
    let long = Sheet { title, ..sheet(Vec::new()) };
    let mut typesetter = Typesetter::new(&Fonts::default());
    let set = SetSheet::new(&long, &frame(), &mut typesetter);
    let line =
        |item: &Placed<'_>| if let Placed::Line(words, _, at) = item { at[1] - words.style().rise() } else { 99.0 };
    assert!(set.head.iter().map(line).fold(f64::INFINITY, f64::min) > 6.0);
}
