//! Sound files damaged at random, the same way every time: what the readers are fed in `fuzz/tests`.
//!
//! A [`Damage`] knows how the files are built: it changes numbers into ones that no reader expects, swaps
//! words, doubles tables, nests brackets, lies in the counts of binary headers, and cuts files off. See
//! docs/decisions/0009-fuzz-in-the-tests.md.

pub mod bad_jobs;
pub mod meshes;

use std::ops::Range;
use std::path::{Path, PathBuf};

use oorandom::Rand64;

/// Numbers and values put in the place of others.
const VALUES: [&str; 28] = [
    "0",
    "-0.0",
    "-1",
    "1e308",
    "-1e308",
    "1e-320",
    "nan",
    "-inf",
    "4294967295",
    "-2147483648",
    "18446744073709551616",
    "0x7fffffffffffffff",
    "1_000",
    "0,5",
    "true",
    "null",
    "\"\"",
    "\"x\"",
    "\"1 5/8 in\"",
    "\"1/0 in\"",
    "\"16 ga\"",
    "\"DN 40 sch 10\"",
    "1979-05-27",
    "[]",
    "{}",
    "[[0,0,0],[0,0,0]]",
    "[1e300, 1e300, 1e300]",
    "\u{1F6E0}",
];

/// What is put between other text: marks of the grammars, line ends, characters that upset readers.
const MARKS: [&str; 24] = [
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "\"",
    "'",
    "\"\"\"",
    "'''",
    "=",
    ",",
    ".",
    "#",
    "\\",
    "\n",
    "\r\n",
    "\r",
    "\0",
    "\u{feff}",
    "\u{202e}",
    "[[port]]\n",
    "[tail]\n",
    "/",
];

/// Words of a binary file put in the place of others: counts that lie, and numbers that are none.
const WORDS: [u32; 10] =
    [0, 1, 2, 0x7fff_ffff, 0x8000_0000, 0xffff_ffff, 0x7f80_0000, 0xff80_0000, 0x7fc0_0000, 0x7f7f_ffff];

/// Deepest nesting that is put in: more than any reader's own limit, little enough for a short test.
const NESTED: usize = 2_000;

/// Damages files; the same seed damages in the same order.
pub struct Damage {
    random: Rand64,
}

impl Damage {
    /// A source of damage.
    pub fn new(seed: u128) -> Self {
        Damage { random: Rand64::new(seed) }
    }

    /// A number below `n`; 0 when `n` is.
    pub fn below(&mut self, n: usize) -> usize {
        self.random.rand_range(0..n.max(1) as u64) as usize
    }

    /// One of the list, which must not be empty.
    pub fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    /// A text with one to four faults in it.
    pub fn text(&mut self, sound: &[u8]) -> Vec<u8> {
        let mut bytes = sound.to_vec();
        for _ in 0..1 + self.below(4) {
            self.fault_of_text(&mut bytes);
        }
        bytes
    }

    /// A binary file with one to four faults in it.
    pub fn binary(&mut self, sound: &[u8]) -> Vec<u8> {
        let mut bytes = sound.to_vec();
        for _ in 0..1 + self.below(4) {
            match self.below(3) {
                0 => self.word(&mut bytes),
                1 => self.fault_of_bytes(&mut bytes),
                _ => self.fault_of_text(&mut bytes),
            }
        }
        bytes
    }

    /// A fault that a person or a program writing text makes.
    fn fault_of_text(&mut self, bytes: &mut Vec<u8>) {
        match self.below(9) {
            0 | 1 => self.replace_value(bytes),
            2 => self.replace_number(bytes),
            3 => self.swap_words(bytes),
            4 => self.repeat(bytes),
            5 => {
                let mark = (*self.one(&MARKS)).as_bytes();
                self.insert(bytes, mark);
            }
            6 if self.below(8) == 0 => self.nest(bytes),
            _ => self.fault_of_bytes(bytes),
        }
    }

    /// A fault of a disk or a line: bytes changed, lost, doubled, cut off.
    fn fault_of_bytes(&mut self, bytes: &mut Vec<u8>) {
        let at = self.below(bytes.len());
        let to = (at + self.below(60)).min(bytes.len());
        match self.below(6) {
            0 => bytes.truncate(at),
            1 => drop(bytes.drain(at..to)),
            2 => {
                let copy = bytes[at..to].to_vec();
                self.insert(bytes, &copy);
            }
            3 if !bytes.is_empty() => bytes[at] ^= 1 << self.below(8),
            4 if !bytes.is_empty() => bytes[at] = self.random.rand_u64() as u8,
            _ => {
                let byte = [self.random.rand_u64() as u8];
                self.insert(bytes, &byte);
            }
        }
    }

    fn insert(&mut self, bytes: &mut Vec<u8>, what: &[u8]) {
        let at = self.below(bytes.len() + 1);
        drop(bytes.splice(at..at, what.iter().copied()));
    }

    /// What stands behind an equals sign or a colon becomes something else.
    fn replace_value(&mut self, bytes: &mut Vec<u8>) {
        let starts: Vec<usize> = bytes
            .windows(2)
            .enumerate()
            .filter(|(_, w)| matches!(w[0], b'=' | b':') && w[1] != b'=')
            .map(|(i, _)| i + 1)
            .collect();
        if starts.is_empty() {
            return self.replace_number(bytes);
        }
        let from = *self.one(&starts);
        let end = bytes[from..].iter().position(|b| matches!(b, b'\n' | b'}')).map_or(bytes.len(), |i| from + i);
        let value = format!(" {}", self.one(&VALUES));
        drop(bytes.splice(from..end, value.into_bytes()));
    }

    fn replace_number(&mut self, bytes: &mut Vec<u8>) {
        let numbers = stretches(bytes, |b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e'));
        if !numbers.is_empty() {
            let place = self.one(&numbers).clone();
            let value = self.one(&VALUES).bytes();
            drop(bytes.splice(place, value));
        }
    }

    fn swap_words(&mut self, bytes: &mut Vec<u8>) {
        let words = stretches(bytes, |b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'.' | b'-' | b'"'));
        if words.len() > 1 {
            let (a, b) = (self.below(words.len()), self.below(words.len()));
            let (first, second) = (words[a.min(b)].clone(), words[a.max(b)].clone());
            let (one, other) = (bytes[first.clone()].to_vec(), bytes[second.clone()].to_vec());
            drop(bytes.splice(second, one));
            drop(bytes.splice(first, other));
        }
    }

    /// A line, or a table from its head to the next one, stands twice.
    fn repeat(&mut self, bytes: &mut Vec<u8>) {
        let table = self.below(2) == 0;
        let starts: Vec<usize> = std::iter::once(0)
            .chain(bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(i, _)| i + 1))
            .filter(|i| !table || bytes.get(*i) == Some(&b'['))
            .collect();
        if starts.is_empty() {
            return;
        }
        let which = self.below(starts.len());
        let end = starts.get(which + 1).copied().unwrap_or(bytes.len());
        let copy = bytes[starts[which]..end].to_vec();
        let there = if self.below(2) == 0 { end } else { *self.one(&starts) };
        drop(bytes.splice(there..there, copy));
    }

    fn nest(&mut self, bytes: &mut Vec<u8>) {
        let depth = self.below(NESTED);
        let (open, close) = *self.one(&[("[", "]"), ("{\"a\":", "}"), ("{a=", "}")]);
        let nested = format!("{}0{}", open.repeat(depth), close.repeat(depth));
        self.insert(bytes, nested.as_bytes());
    }

    /// A word of four bytes, of either byte order, becomes a count that lies or a number that is none.
    fn word(&mut self, bytes: &mut [u8]) {
        if bytes.len() < 4 {
            return;
        }
        let at = self.below(bytes.len() - 3);
        // Counts stand at the start of a file more often than not.
        let at = if self.below(2) == 0 { at.min(self.below(120)) } else { at };
        let word = *self.one(&WORDS);
        let raw = if self.below(2) == 0 { word.to_le_bytes() } else { word.to_be_bytes() };
        bytes[at..at + 4].copy_from_slice(&raw);
    }
}

/// The longest stretches of bytes of a kind.
fn stretches(bytes: &[u8], of: impl Fn(u8) -> bool) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for (i, _) in bytes.iter().enumerate().filter(|(_, b)| of(**b)) {
        match found.last_mut() {
            Some(last) if last.end == i => last.end = i + 1,
            _ => found.push(i..i + 1),
        }
    }
    found
}

/// How often a test repeats: `usual`, or a multiple of it when `FUZZ` is set to a number in the environment.
pub fn rounds(usual: usize) -> usize {
    let times = std::env::var("FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    usual * times
}

/// A path from the root of the project.
pub fn from_root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(path)
}

/// All files of these endings in or below a folder of the project, in the order of their names.
///
/// # Errors
/// What the system says.
pub fn files_below(folder: &str, endings: &[&str]) -> std::io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    let mut folders = vec![from_root(folder)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| endings.iter().any(|k| e.eq_ignore_ascii_case(k))) {
                found.push(path);
            }
        }
    }
    found.sort();
    Ok(found)
}

/// The most memory that this process has asked the system for so far, bytes, where the system says it (Linux).
pub fn peak_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmPeak:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<u64>().ok().map(|kib| kib * 1024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_does_the_same_damage() {
        let sound = b"[tube]\nod = 44.45\nwall = 1.65\n[saw]\nkerf = 1.6\n";
        let all = |seed| {
            let mut damage = Damage::new(seed);
            (0..50).map(|_| damage.text(sound)).collect::<Vec<_>>()
        };
        assert_eq!(all(1), all(1));
        assert_ne!(all(1), all(2));
        let changed = all(1).iter().filter(|t| t.as_slice() != sound.as_slice()).count();
        assert!(changed > 40, "only {changed} of 50 were damaged at all");
    }

    #[test]
    fn files_of_no_bytes_can_be_damaged() {
        let mut damage = Damage::new(3);
        for _ in 0..500 {
            damage.text(b"");
            damage.binary(b"");
            damage.binary(b"abc");
        }
    }

    #[test]
    fn words_are_found_and_swapped_whole() {
        assert_eq!(stretches(b"ab cd", |b| b != b' '), vec![0..2, 3..5]);
        let mut damage = Damage::new(4);
        let mut bytes = b"one two".to_vec();
        damage.swap_words(&mut bytes);
        assert!(bytes == b"two one" || bytes == b"one two");
    }
}
