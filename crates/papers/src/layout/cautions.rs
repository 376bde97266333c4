//! Cautions: usual ones for the work at hand, with where they come from. No legal advice.

use job::catalogue::material;

use crate::PaperJob;
use crate::sheet::{Block, Column, Sheet, SheetKind, Table, TextStyle};

/// When a caution is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum When {
    Always,
    /// Stainless steels and nickel alloys.
    Chromium,
    /// Titanium.
    Titanium,
}

struct Caution {
    when: When,
    hazard: &'static str,
    say: &'static str,
    source: &'static str,
}

/// Read in reproductions of the text: 29 CFR 1910.1026, 1910.146, 42 U.S.C. 7522; all others from memory.
const CAUTIONS: [Caution; 16] = [
    Caution {
        when: When::Chromium,
        hazard: "Hexavalent chromium and nickel in the fume",
        say: "Fume and dust from welding and grinding stainless or nickel alloy cause cancer. Extract at the arc, TIG too; no \
              food or smoking nearby.",
        source: "OSHA 29 CFR 1910.1026 (limit 5, action level 2.5 micrograms/m3 over 8 h); in Europe Directive 2004/37/EC",
    },
    Caution {
        when: When::Always,
        hazard: "Welding fume",
        say: "All welding fume, mild steel included, is classed as carcinogenic, and its manganese harms the nerves. Extract it, indoors and \
              outdoors.",
        source: "IARC Monograph 118; UK HSE safety alert STSU1-2019; OSHA 29 CFR 1910.1000 Table Z-1",
    },
    Caution {
        when: When::Always,
        hazard: "Zinc and coatings",
        say: "Never weld galvanised tube. Strip plating, paint and zinc well back from the weld: the fume makes you ill.",
        source: "OSHA 29 CFR 1910.1000 Table Z-1",
    },
    Caution {
        when: When::Always,
        hazard: "Cleaners and the arc",
        say: "Chlorinated cleaner and the arc make phosgene. Use non-chlorinated cleaner only, let it dry, and strike no arc near \
              solvent vapour.",
        source: "OSHA 29 CFR 1910.252(c); ANSI Z49.1",
    },
    Caution {
        when: When::Always,
        hazard: "Argon",
        say: "It is heavier than air, has no smell and displaces oxygen in pits, tanks and small rooms. Ventilate, close \
              the cylinders, use an oxygen meter; leave below 19.5 % oxygen.",
        source: "OSHA 29 CFR 1910.146",
    },
    Caution {
        when: When::Titanium,
        hazard: "Titanium dust",
        say: "Fine dust burns and water or CO2 makes it worse. Keep it apart from steel sparks, clean often, have Class D \
              powder at hand. Purge and shield with argon only.",
        source: "NFPA 484 (now in NFPA 660)",
    },
    Caution {
        when: When::Always,
        hazard: "Arc radiation",
        say: "Helmet with shade 9 to 13, skin covered, screens for others. Bright tube reflects it.",
        source: "OSHA 29 CFR 1910.252(b); ANSI Z49.1; EN 169, ISO 16321",
    },
    Caution {
        when: When::Always,
        hazard: "Thoriated electrodes",
        say: "Their grinding dust is radioactive: use lanthanated or ceriated ones, or extract and wipe wet.",
        source: "ISO 6848; national guidance on radiation",
    },
    Caution {
        when: When::Always,
        hazard: "Fire",
        say: "On or near the vehicle: battery off, fuel parts drained or taken off, rags away (35 ft / 11 m, or shielded), extinguisher \
              at hand, fire watch for at least half an hour afterwards.",
        source: "OSHA 29 CFR 1910.252(a); NFPA 51B",
    },
    Caution {
        when: When::Always,
        hazard: "Saws and grinders",
        say: "Clamp every bend in a cradle, hold the long side, no gloves near the blade, guards on, no side load on thin discs.",
        source: "OSHA 29 CFR 1910.212, 1910.215",
    },
    Caution {
        when: When::Always,
        hazard: "Noise",
        say: "Protect your ears when cutting, grinding and running open tubes.",
        source: "OSHA 29 CFR 1910.95 (action at 85 dBA over 8 h)",
    },
    Caution {
        when: When::Always,
        hazard: "Exhaust gas",
        say: "Never run an engine in a closed shop; pipe the exhaust outside. Check every joint for leaks before road use: carbon \
              monoxide in the cabin kills; fit a CO alarm.",
        source: "OSHA 29 CFR 1910.1000 Table Z-1 (50 ppm over 8 h); NIOSH (35 ppm)",
    },
    Caution {
        when: When::Always,
        hazard: "Hot metal",
        say: "A header runs at 750 to 1650 °F (400 to 900 °C). Keep hoses, wires and brake lines clear or shield them; let it cool \
              before touching it. The first heat smokes: outdoors, extinguisher at hand. Exhaust wrap: wear gloves and mask; it \
              raises the metal's temperature.",
        source: "ISO 13732-1; makers' data",
    },
    Caution {
        when: When::Always,
        hazard: "Leak test with air",
        say: "At most 4 to 7 psi (0.3 to 0.5 bar), never shop pressure: a cap can blow off like a bullet.",
        source: "general caution for tests with gas, ASME B31.3 345.5",
    },
    Caution {
        when: When::Always,
        hazard: "Under the vehicle",
        say: "Use stands, never a jack alone.",
        source: "common practice, no source",
    },
    Caution {
        when: When::Always,
        hazard: "Road law",
        say: "Removing or defeating an emission control on a road vehicle is illegal in many places; noise limits and approvals \
              apply too, also on tracks. Steam, marine, aircraft and turbine exhaust may be regulated: ask a qualified engineer.",
        source: "USA: Clean Air Act 203(a)(3), 42 U.S.C. 7522(a)(3); UNECE R51, R83; 40 CFR 205",
    },
];

pub(super) fn sheets(papers: &PaperJob<'_>) -> Vec<Sheet> {
    let mut sheet = Sheet::new(SheetKind::Cautions, "Cautions", "read before starting");
    sheet.blocks.push(Block::Notice {
        title: "Check your local code; use licensed people where the law requires them".into(),
        points: vec![
            "Figures on these sheets are estimates from your measurements. Cut, weld and run exhausts at your own responsibility. \
             Limits differ by country and change: this page is a reminder, not legal advice."
                .into(),
        ],
        grave: true,
    });
    let names: Vec<&str> =
        papers.assembly.iter().filter_map(|a| material(&a.tube.material)).map(|m| m.name.as_str()).collect();
    let mut table =
        Table::new(vec![Column::wide("hazard", 0.8), Column::wide("what to do", 2.2), Column::wide("see", 1.2)]);
    for caution in CAUTIONS.iter().filter(|c| applies(c.when, &names)) {
        table.row(vec![caution.hazard.into(), caution.say.into(), caution.source.into()]);
    }
    sheet.blocks.push(Block::Table(table));
    sheet.blocks.push(Block::Text(
        TextStyle::Small,
        "References are a guide only and may be out of date: check the current text. 1910.1026, 1910.146 and 42 U.S.C. 7522 were \
         read in reproductions; the others are from memory."
            .into(),
    ));
    vec![sheet]
}

/// Whether a caution belongs to a job of these materials.
fn applies(when: When, materials: &[&str]) -> bool {
    let titanium = |m: &str| m.starts_with("titanium");
    match when {
        When::Always => true,
        When::Titanium => materials.iter().any(|m| titanium(m)),
        When::Chromium => materials.iter().any(|m| !titanium(m) && !matches!(*m, "low-carbon" | "aluminised")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cautions_follow_the_material() {
        assert!(applies(When::Chromium, &["304L"]) && !applies(When::Titanium, &["304L"]));
        assert!(applies(When::Titanium, &["titanium 2"]) && !applies(When::Chromium, &["titanium 2", "low-carbon"]));
    }

    #[test]
    fn every_caution_names_where_it_comes_from() {
        assert!(CAUTIONS.iter().all(|c| !c.source.is_empty() && !c.say.is_empty()));
    }
}
