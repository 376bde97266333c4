//! No files that import each other in a loop: what both need belongs in a third.
//!
//! An arrow runs from a file to each file of its crate that a path in its code leads to, followed through `pub use` to where
//! the name is defined. `mod` and `pub use` lines are no arrows, and neither is what only a file's tests use.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::files::Source;

/// The names of a module from the root of its crate.
type Module = Vec<String>;
/// A path that a file uses, and whether it hands it on by `pub use`.
type Used = (Vec<String>, bool);

/// Every loop, as a line that lists its files.
pub fn circles(files: &[Source]) -> Vec<String> {
    let mut crates: BTreeMap<&str, BTreeMap<Module, &Source>> = BTreeMap::new();
    for file in files {
        let Some((folder, path)) = file.name.split_once("/src/") else { continue };
        let modules = path.trim_end_matches(".rs").split('/').map(str::to_string);
        let module: Module = modules.filter(|m| !["lib", "main", "mod"].contains(&m.as_str())).collect();
        if module.last().is_none_or(|m| m != "tests") {
            crates.entry(folder).or_default().insert(module, file);
        }
    }
    crates.values().flat_map(loops).collect()
}

fn loops(files: &BTreeMap<Module, &Source>) -> Vec<String> {
    let used: BTreeMap<&Module, Vec<Used>> = files.iter().map(|(m, f)| (m, paths(&tokens(&f.text)))).collect();
    let mut handed_on: BTreeMap<(Module, String), (Module, Vec<String>)> = BTreeMap::new();
    for (here, paths) in &used {
        for (path, _) in paths.iter().filter(|(_, public)| *public) {
            if let (Some(found), Some(name)) = (resolved(files, here, path), path.last()) {
                handed_on.insert(((*here).clone(), name.clone()), found);
            }
        }
    }
    // A module that stands elsewhere (`#[path]`) is named by its parent, but is no part of it.
    let elsewhere = |(module, rest): &(Module, Vec<String>)| {
        let child = rest.first().map(|child| format!("mod {child};"));
        child.is_some_and(|line| files[module].text.contains(&line))
    };
    let follow = |(mut module, mut rest): (Module, Vec<String>)| {
        while let Some(next) = rest.first().and_then(|name| handed_on.get(&(module.clone(), name.clone()))) {
            if next.0 == module {
                break;
            }
            let left = if next.1.is_empty() { rest.split_off(1) } else { next.1.clone() };
            (module, rest) = (next.0.clone(), left);
        }
        module
    };
    let mut arrows: BTreeMap<&Module, BTreeSet<Module>> = BTreeMap::new();
    for (here, paths) in &used {
        let to = paths.iter().filter(|(_, public)| !public).filter_map(|(path, _)| resolved(files, here, path));
        arrows.insert(here, to.filter(|t| !elsewhere(t)).map(follow).filter(|m| m != *here).collect());
    }
    let reach: BTreeMap<&Module, BTreeSet<&Module>> = used.keys().map(|m| (*m, reached(m, &arrows))).collect();
    let mut rings: Vec<BTreeSet<&Module>> = Vec::new();
    for (module, far) in &reach {
        let ring: BTreeSet<&Module> = far.iter().filter(|m| reach[**m].contains(*module)).copied().collect();
        if !ring.is_empty() && !rings.contains(&ring) {
            rings.push(ring);
        }
    }
    let names = |ring: &BTreeSet<&Module>| ring.iter().map(|m| files[*m].name.as_str()).collect::<Vec<_>>().join(", ");
    rings.iter().map(|ring| format!("these import each other in a loop: {}", names(ring))).collect()
}

/// Every module that arrows lead to from `from`.
fn reached<'a>(from: &'a Module, arrows: &'a BTreeMap<&Module, BTreeSet<Module>>) -> BTreeSet<&'a Module> {
    let (mut found, mut next) = (BTreeSet::new(), VecDeque::from([from]));
    while let Some(module) = next.pop_front() {
        for to in arrows.get(module).into_iter().flatten() {
            if found.insert(to) {
                next.push_back(to);
            }
        }
    }
    found
}

/// The module that a path leads to from `here`, and what is left of the path; `None` out of the crate.
fn resolved(files: &BTreeMap<Module, &Source>, here: &Module, path: &[String]) -> Option<(Module, Vec<String>)> {
    let mut module = here.clone();
    let mut rest = path;
    match path.first()?.as_str() {
        "crate" => (module, rest) = (Module::new(), &path[1..]),
        "self" | "super" => {
            while let Some(word) = rest.first().filter(|w| ["self", "super"].contains(&w.as_str())) {
                if word == "super" {
                    module.pop();
                }
                rest = &rest[1..];
            }
        }
        child => {
            module.push(child.into());
            files.get(&module)?;
            rest = &path[1..];
        }
    }
    while let Some(child) = rest.first() {
        module.push(child.clone());
        if !files.contains_key(&module) {
            module.pop();
            break;
        }
        rest = &rest[1..];
    }
    Some((module, rest.to_vec()))
}

/// The paths in a file's code.
fn paths(tokens: &[String]) -> Vec<Used> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let before = at.checked_sub(1).map_or("", |i| tokens[i].as_str());
        if tokens[at] == "use" {
            let mut list = Vec::new();
            at = tree(tokens, at + 1, &mut Vec::new(), &mut list);
            found.extend(list.into_iter().map(|path| (path, before == "pub" || before == ")")));
        } else if before != "::" && before != "." && tokens.get(at + 1).is_some_and(|t| t == "::") {
            let mut path = vec![tokens[at].clone()];
            while tokens.get(at + 1).is_some_and(|t| t == "::") && tokens.get(at + 2).is_some_and(|t| is_name(t)) {
                path.push(tokens[at + 2].clone());
                at += 2;
            }
            found.push((path, false));
            at += 1;
        } else {
            at += 1;
        }
    }
    found
}

/// Reads one tree of a `use` line from `at` on; where it ends.
fn tree(tokens: &[String], mut at: usize, prefix: &mut Vec<String>, found: &mut Vec<Vec<String>>) -> usize {
    let depth = prefix.len();
    while let Some(token) = tokens.get(at).map(String::as_str) {
        match token {
            "::" => {}
            "{" => {
                loop {
                    at = tree(tokens, at + 1, prefix, found);
                    if tokens.get(at).is_none_or(|t| t != ",") {
                        break;
                    }
                }
                prefix.truncate(depth);
                return at + 1;
            }
            "as" => at += 1,
            name if is_name(name) => prefix.push(name.into()),
            "*" => {}
            _ => break,
        }
        at += 1;
    }
    if prefix.len() > depth {
        found.push(prefix.clone());
    }
    prefix.truncate(depth);
    at
}

fn is_name(token: &str) -> bool {
    token.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Names, `::` and other signs of the code before a file's tests, without comments and texts.
fn tokens(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let lines = code.lines().map(|l| l.split("//").next().unwrap_or_default());
    let bare: Vec<char> = lines.flat_map(|l| l.chars().chain(['\n'])).collect();
    let mut out: Vec<String> = Vec::new();
    let mut at = 0;
    while at < bare.len() {
        let from = at;
        match bare[at] {
            '"' => {
                at += 1;
                while at < bare.len() && bare[at] != '"' {
                    at += if bare[at] == '\\' { 2 } else { 1 };
                }
            }
            c if c.is_alphanumeric() || c == '_' => {
                while bare.get(at + 1).is_some_and(|c| c.is_alphanumeric() || *c == '_') {
                    at += 1;
                }
                out.push(bare[from..=at].iter().collect());
            }
            ':' if bare.get(at + 1) == Some(&':') => {
                at += 1;
                out.push("::".into());
            }
            c if c.is_whitespace() => {}
            c => out.push(c.into()),
        }
        at += 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(files: &[(&str, &str)]) -> Vec<String> {
        let source =
            |(name, text): &(&str, &str)| Source { name: format!("crates/c/src/{name}"), text: (*text).into() };
        circles(&files.iter().map(source).collect::<Vec<_>>())
    }

    #[test]
    fn a_loop_through_a_third_file_is_found() {
        let files =
            [("lib.rs", "mod a; mod b; mod c;"), ("a.rs", "use crate::b::{B, Other};"), ("b.rs", "use super::c;")];
        let loops = found(&[&files[..], &[("c.rs", "fn f() { crate::a::g() }")]].concat());
        assert_eq!(
            loops,
            ["these import each other in a loop: crates/c/src/a.rs, crates/c/src/b.rs, crates/c/src/c.rs"]
        );
    }

    #[test]
    fn a_child_may_use_what_its_parent_only_hands_on() {
        let parent = "mod leaf; mod child; pub use leaf::Leaf; fn f() { child::g() }";
        let files =
            [("p.rs", parent), ("p/leaf.rs", "pub struct Leaf;"), ("p/child.rs", "use super::Leaf; // super::f")];
        assert!(found(&files).is_empty(), "{:?}", found(&files));
    }

    #[test]
    fn tests_and_texts_make_no_arrow() {
        let files = [
            ("a.rs", "use crate::b;\nlet s = \"\\\" crate::a::x\";"),
            ("b.rs", "#[cfg(test)]\nmod tests { use crate::a; }"),
        ];
        assert!(found(&files).is_empty());
    }
}
