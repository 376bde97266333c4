//! Whether pieces fit into rooms, by trying.

/// Puts every piece (the longest first) into a room, each with a kerf; `places` then holds the room of each piece.
///
/// `None` when the steps were spent before it was known.
pub(crate) fn fit(
    pieces: &[f64],
    kerf: f64,
    rooms: &mut [f64],
    steps: &mut u32,
    places: &mut Vec<usize>,
) -> Option<bool> {
    let Some((&piece, rest)) = pieces.split_first() else { return Some(true) };
    if *steps == 0 {
        return None;
    }
    *steps -= 1;
    for i in 0..rooms.len() {
        // Rooms of equal length are alike.
        if rooms[i] < piece + kerf || rooms[..i].contains(&rooms[i]) {
            continue;
        }
        rooms[i] -= piece + kerf;
        places.push(i);
        let fits = fit(rest, kerf, rooms, steps, places);
        rooms[i] += piece + kerf;
        if fits != Some(false) {
            return fits;
        }
        places.pop();
    }
    Some(false)
}

#[cfg(test)]
mod tests {
    use super::fit;

    /// 6 + 5 + 5 + 4 is 20, and two rooms of 10 take 6 + 4 and 5 + 5; with 7 for 6 nothing of it goes with the 7.
    #[test]
    fn pieces_fit_or_not() {
        let tried = |pieces: &[f64], kerf: f64, rooms: &[f64], mut steps: u32| {
            let mut places = Vec::new();
            (fit(pieces, kerf, &mut rooms.to_vec(), &mut steps, &mut places), places)
        };
        assert_eq!(tried(&[6.0, 5.0, 5.0, 4.0], 0.0, &[10.0, 10.0], 100), (Some(true), vec![0, 1, 1, 0]));
        assert_eq!(tried(&[7.0, 5.0, 4.0, 4.0], 0.0, &[10.0, 10.0], 100).0, Some(false));
        assert_eq!(tried(&[6.0, 5.0, 5.0, 4.0], 0.5, &[10.5, 10.5], 100).0, Some(false));
        assert_eq!(tried(&[6.0, 5.0, 5.0, 4.0], 0.0, &[10.0, 10.0], 3).0, None);
    }
}
