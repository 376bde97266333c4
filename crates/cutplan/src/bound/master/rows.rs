//! Coefficients of fillers, sticks and patterns in every row.

use super::{BOTH, Host, Master, Row};
use crate::bound::pricing::{Form, Pattern, Stand};
use crate::ids::{ArcId, StickId, StraightId};
use crate::instance::{FIT, Side};

impl Master<'_> {
    pub(super) fn total_straight(&self) -> f64 {
        self.instance.straights.iter().map(|s| s.length).sum()
    }

    /// Coefficients of a straight's fillers from legs, from sticks, and of its length from sticks
    /// (in parts of its length).
    pub(super) fn straight_in_row(&self, straight: StraightId, row: Row) -> [f64; 3] {
        let length = self.instance.straights[straight].length;
        let part = |l: f64| ((l + FIT) / length).min(1.0);
        match row {
            Row::Owners(s, rest) if s == straight => [1.0, self.needed(s, rest).map_or(0.0, |n| n.1), 0.0],
            Row::Length(s) if s == straight => [part(self.longest[0]), 0.0, 1.0],
            Row::StickLength(s) if s == straight => [0.0, part(self.longest[1]), -1.0],
            Row::StickThere(s) if s == straight => [0.0, -1.0, 0.0],
            Row::Material => {
                let kerf = -self.instance.kerf / self.total_straight();
                [kerf, kerf, 0.0]
            }
            Row::StickMaterial => {
                let scale = 1.0 / self.total_straight();
                [0.0, -self.instance.kerf * scale, -length * scale]
            }
            Row::Pieces(true, sign) => [sign, sign, 0.0],
            Row::Fillers(s, sign) if s == straight => [sign, sign, 0.0],
            Row::StickFillers(s, sign) if s == straight => [0.0, sign, 0.0],
            Row::Used => [0.0, 1.0, 0.0],
            Row::CutsOfPatterns | Row::CutsOfFillers => [-1.0, 0.0, 0.0],
            Row::FullLegs => [1.0, 0.0, 0.0],
            Row::FullLegLength => {
                [(length.min(self.longest[0]) + self.instance.kerf + FIT) / self.total_straight(), 0.0, 0.0]
            }
            Row::FullStickLength => {
                let scale = 1.0 / self.total_straight();
                [0.0, (self.instance.kerf + FIT) * scale, length * scale]
            }
            Row::Long(s) if s == straight => [1.0, 2.0, 0.0],
            Row::Packed(p) if self.packed[p].iter().any(|s| s.straight == straight) => [2.0, 1.0, 0.0],
            Row::Host(h) if self.shares(&self.hosts[h], straight) => [self.hosts[h].most, self.hosts[h].most, 0.0],
            _ => [0.0; 3],
        }
    }

    pub(super) fn stick_in_row(&self, kind: StickId, row: Row) -> f64 {
        match row {
            Row::Material | Row::StickMaterial => {
                (self.instance.sticks[kind].length + self.instance.kerf) / self.total_straight()
            }
            Row::StickThere(_) => 1.0,
            Row::Sticks(k, sign) if k == kind => sign,
            Row::Used => -1.0,
            Row::FullSticks => 1.0,
            _ => 0.0,
        }
    }

    /// True when some arc could carry a straight.
    pub(super) fn carried(&self, straight: StraightId) -> bool {
        self.instance.straights[straight].arcs.iter().any(Option::is_some)
    }

    /// True when a row of room counts the legs and fillers of a straight but one.
    pub(super) fn shares(&self, host: &Host, straight: StraightId) -> bool {
        self.carried(straight) && !host.by_long_legs[straight]
    }

    /// Long fillers that a leg counts for in a row of room.
    pub(super) fn hosted(&self, host: &Host, leg: f64, carried: Option<StraightId>) -> f64 {
        let each = host.length + self.instance.kerf;
        let empty = ((leg + FIT) / each).floor();
        let Some(s) = carried else { return empty };
        let beyond = ((leg - self.instance.straights[s].length + 2.0 * FIT).max(0.0) / each).floor();
        if empty > 0.0 || self.shares(host, s) { beyond + host.most } else { 0.0 }
    }

    /// What a leg gives to the straights at most, mm: all of it when a filler can be cut from it,
    /// else what it carries.
    pub(super) fn leg_gives(&self, leg: f64, carried: Option<StraightId>) -> f64 {
        if leg >= self.instance.kerf + self.instance.min_straight - FIT {
            leg
        } else {
            carried.map_or(0.0, |s| leg.min(self.instance.straights[s].length))
        }
    }

    pub(super) fn pattern_in_row(&self, pattern: &Pattern, row: Row) -> f64 {
        let stands = |arc: ArcId| pattern.stands.iter().filter(move |s| s.arc == arc);
        let legs = self.instance.bends[pattern.kind].legs;
        let owned = |leg: usize| {
            pattern.owners[leg].and_then(|(arc, side)| {
                self.instance.arcs[arc].beside[side.index()].map(|straight| (straight, 1 - side.index()))
            })
        };
        match row {
            Row::Angle(arc) => stands(arc)
                .map(|s| if s.form == Form::Whole { 1.0 } else { s.angle / self.instance.arcs[arc].angle })
                .sum(),
            Row::Count(arc) => stands(arc)
                .map(|s| match s.form {
                    Form::Whole => 1.0,
                    _ => s.fragments() as f64 / self.least_parts[arc],
                })
                .sum(),
            Row::Owners(straight, rest) => BOTH
                .into_iter()
                .filter(|&leg| legs[leg] > 0.0 && owned(leg).is_some_and(|(s, end)| s == straight && rest[end]))
                .count() as f64,
            Row::Length(straight) => BOTH
                .into_iter()
                .filter(|&leg| owned(leg).is_some_and(|(s, _)| s == straight))
                .map(|leg| ((legs[leg] + FIT) / self.instance.straights[straight].length).min(1.0))
                .sum(),
            Row::Material => {
                let given: f64 = BOTH.into_iter().map(|leg| self.leg_gives(legs[leg], owned(leg).map(|o| o.0))).sum();
                given / self.total_straight()
            }
            Row::Kind(kind, sign) if kind == pattern.kind => sign,
            Row::Pieces(_, sign) => sign * pattern.stands.iter().map(|s| s.fragments() as f64).sum::<f64>(),
            Row::CutsOfPatterns => -self.cuts_of_legs(pattern),
            Row::Long(straight) => {
                2.0 * BOTH
                    .into_iter()
                    .filter(|&leg| legs[leg] > 0.0 && owned(leg).is_some_and(|(s, _)| s == straight))
                    .count() as f64
            }
            Row::Host(h) => {
                BOTH.into_iter().map(|leg| self.hosted(&self.hosts[h], legs[leg], owned(leg).map(|o| o.0))).sum()
            }
            Row::Packed(p) => {
                let more = |leg: usize| {
                    owned(leg).is_some_and(|(s, end)| self.packed[p].iter().any(|f| f.straight == s && !f.legs[end]))
                };
                2.0 * BOTH.into_iter().filter(|&leg| legs[leg] > 0.0 && more(leg)).count() as f64
            }
            Row::Triple(t) => -f64::from(pattern.whole_arcs().meets_twice(self.triples[t])),
            Row::OnKind(arc, kind, sign) if kind == pattern.kind => {
                sign * stands(arc).map(|s| s.fragments() as f64).sum::<f64>()
            }
            Row::Fragments(arc, sign) => sign * stands(arc).map(|s| s.fragments() as f64).sum::<f64>(),
            Row::Own(arc, side, sign) => {
                sign * pattern.owners.iter().filter(|o| **o == Some((arc, side))).count() as f64
            }
            _ => 0.0,
        }
    }

    /// Cost of a fragment or filler: its joint and its cut.
    pub(super) fn fragment(&self) -> f64 {
        (self.instance.joint + self.instance.cut) as f64 * 1e-3
    }

    pub(super) fn pattern_cost(&self, pattern: &Pattern) -> f64 {
        let kind = &self.instance.bends[pattern.kind];
        let fragments: usize = pattern.stands.iter().map(Stand::fragments).sum();
        let mut cost = kind.price as f64 * 1e-3 + fragments as f64 * self.fragment();
        if !self.instance.per_piece && fragments > 0 {
            cost -= self.instance.cut as f64 * 1e-3;
        }
        cost
    }

    /// Saw cuts that a pattern needs beside those between its fragments: one at each leg that is
    /// not carried to its mill end, and at least one where some of the arc is left.
    pub(super) fn cuts_of_legs(&self, pattern: &Pattern) -> f64 {
        let kind = &self.instance.bends[pattern.kind];
        let fragments: usize = pattern.stands.iter().map(Stand::fragments).sum();
        let Some(class) = self.instance.classes.get(kind.class).filter(|_| fragments > 0) else { return 0.0 };
        let angle: f64 = pattern.stands.iter().map(|s| s.angle).sum();
        let slack = kind.angle - angle - class.kerf * (fragments - 1) as f64;
        let legs = BOTH.into_iter().filter(|&leg| kind.legs[leg] > 0.0);
        let bare = legs.clone().filter(|&leg| pattern.owners[leg].is_none()).count();
        let short = legs.filter(|&leg| {
            pattern.owners[leg].is_some_and(|(arc, side)| !self.reaches_mill_end(kind.legs[leg], arc, side))
        });
        let short = short.count();
        (if slack > 6.5 * class.fit { bare.max(1) } else { bare } + short) as f64
    }

    /// True when a leg may be carried whole for a side of an arc.
    pub(super) fn reaches_mill_end(&self, leg: f64, arc: ArcId, side: Side) -> bool {
        let straight = self.instance.arcs[arc].beside[side.index()];
        straight.is_some_and(|s| self.instance.straights[s].length >= leg - 3.0 * FIT)
    }
}
