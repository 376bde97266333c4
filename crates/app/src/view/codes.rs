//! Fixed words of calls and answers as enums, each mirrored from the enum of a stage.
//!
//! The stages know neither JSON nor OpenAPI; here their enums get words, and the compiler finds a variant that is missing.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Declares an enum that mirrors `$stage` variant by variant, with conversions both ways.
macro_rules! mirror {
    ($(#[$meta:meta])* $name:ident of $stage:path { $($(#[$of_variant:meta])* $variant:ident,)+ }) => {
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
        $(#[$meta])*
        pub enum $name {
            $($(#[$of_variant])* $variant,)+
        }

        impl From<$stage> for $name {
            fn from(of: $stage) -> Self {
                type Stage = $stage;
                match of {
                    $(Stage::$variant => $name::$variant,)+
                }
            }
        }

        impl From<$name> for $stage {
            fn from(code: $name) -> Self {
                type Stage = $stage;
                match code {
                    $($name::$variant => Stage::$variant,)+
                }
            }
        }
    };
}

mirror! {
    /// A unit of length.
    #[serde(rename_all = "lowercase")]
    UnitsCode of job::model::Units {
        /// Millimetres.
        Mm,
        /// Inches.
        #[serde(rename = "in")]
        Inch,
    }
}

mirror! {
    /// Why photos give no places.
    #[serde(rename_all = "kebab-case")]
    NoPlacesCode of crate::survey_job::NoPlaces {
        /// No two photos share enough markers.
        Apart,
        /// Nothing was measured that gives the size.
        NoScale,
        /// A marker that the axes hang on was not found in two photos.
        NoAxes,
    }
}

mirror! {
    /// What a survey's reading was made with.
    #[serde(rename_all = "lowercase")]
    ToolCode of job::survey::Tool {
        /// Calipers, between centres.
        Calipers,
        /// A steel rule.
        Rule,
        /// A tape.
        Tape,
        /// A rod of known length, from its foot to its end.
        Rod,
        /// Outer edge to outer edge of two round things.
        Outside,
        /// Inner edge to inner edge of two round things.
        Inside,
        /// How much higher the second point is, against gravity.
        Height,
        /// Angle of a line above the horizontal.
        Incline,
        /// Points that a straight-edge over three others touches.
        Flush,
        /// Points on the line of two others, seen in a plane.
        Row,
    }
}

mirror! {
    /// How the cylinders are arranged.
    #[serde(rename_all = "lowercase")]
    LayoutCode of job::model::Layout {
        /// One cylinder.
        Single,
        /// One row.
        Inline,
        /// Two banks at an angle.
        Vee,
        /// Two opposed banks.
        Flat,
    }
}

mirror! {
    /// How serious a problem is.
    #[serde(rename_all = "lowercase")]
    SeverityCode of job::problem::Severity {
        /// Looks wrong, but the work can continue.
        Warning,
        /// Must be fixed.
        Error,
    }
}

mirror! {
    /// Who gave a rate.
    #[serde(rename_all = "lowercase")]
    OriginCode of job::rates::Origin {
        /// Nobody: a placeholder price.
        Invented,
        /// The program's time standards.
        Standard,
        /// The shop.
        Shop,
    }
}

mirror! {
    /// A group of quote lines.
    #[serde(rename_all = "lowercase")]
    GroupCode of cutplan::quote::Group {
        /// Bends and elbows to buy.
        Bends,
        /// Straight tube to buy.
        Tube,
        /// Stock on hand, at its own price.
        Shelf,
        /// Flanges.
        Flanges,
        /// Bought collectors.
        Collectors,
        /// Brackets, slip joints, sensor bungs.
        Parts,
        /// Gas, filler rod, tungsten.
        Consumables,
        /// Labour.
        Labour,
        /// The shop's own lines.
        Extras,
    }
}

mirror! {
    /// What a sizing rule sizes.
    SizedCode of job::size::Sized {
        /// Length of a primary from the port face.
        #[serde(rename = "primary length")]
        PrimaryLength,
        /// Inside diameter of a primary.
        #[serde(rename = "primary inside diameter")]
        PrimaryId,
        /// Inside diameter of a collector's outlet.
        #[serde(rename = "collector outlet inside diameter")]
        OutletId,
        /// Length of a collector's merge.
        #[serde(rename = "collector merge length")]
        MergeLength,
    }
}

mirror! {
    /// A paper size.
    #[serde(rename_all = "lowercase")]
    PaperCode of papers::Paper {
        /// 210 x 297 mm.
        A4,
        /// 8 1/2 x 11 in.
        Letter,
        /// 297 x 420 mm.
        A3,
        /// 11 x 17 in.
        Tabloid,
    }
}

mirror! {
    /// A set of sheets for the shop.
    #[serde(rename_all = "kebab-case")]
    SheetSetCode of papers::SheetSet {
        /// All that a header is built from.
        Short,
        /// Beside these, every bend and every large template at full size.
        Full,
    }
}

mirror! {
    /// A kind of sheet.
    #[serde(rename_all = "kebab-case")]
    SheetKindCode of papers::SheetKind {
        /// Cautions.
        Cautions,
        /// Views and figures of the whole header.
        Overview,
        /// Pick list and buying list.
        Stock,
        /// Where to cut one bend or straight tube.
        Saw,
        /// Bends at 1:1.
        FullSize,
        /// Wrap-around strips for clocking the joints, at 1:1.
        Clocking,
        /// Pieces, joints and checks of one run.
        Assembly,
        /// Sequence of tacks and welds, purge and filler.
        Welding,
        /// Positions over a flat table.
        Jig,
        /// Flanges and collector templates.
        Templates,
        /// Figures to check and blanks to fill in.
        Inspection,
        /// What to cut and turn, as measured.
        #[serde(rename = "correction")]
        Slip,
        /// The customer's quote.
        Quote,
    }
}

mirror! {
    /// An export format.
    #[serde(rename_all = "lowercase")]
    FormatCode of crate::export_work::Format {
        /// Solids.
        Step,
        /// Meshes.
        Stl,
        /// Meshes with names and colours.
        #[serde(rename = "3mf")]
        ThreeMf,
        /// Meshes for viewers.
        Glb,
        /// Drawings for machines.
        Dxf,
        /// Drawings for paper and screen.
        Svg,
        /// Points and radii, CSV.
        Xyz,
        /// Length, rotation, angle, CSV.
        Lra,
        /// Pieces, CSV and XLSX.
        CutList,
        /// The quote, CSV and XLSX.
        Quote,
        /// Plates of a fixture.
        Fixture,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(code: impl Serialize) -> String {
        serde_json::to_value(code).unwrap().as_str().unwrap().to_string()
    }

    #[test]
    fn words_are_those_of_the_stages() {
        use crate::export_work::Format;
        for units in [job::model::Units::Mm, job::model::Units::Inch] {
            assert_eq!(word(UnitsCode::from(units)), units.word());
        }
        for paper in papers::Paper::ALL {
            assert_eq!(word(PaperCode::from(paper)), paper.word());
        }
        for set in papers::SheetSet::ALL {
            assert_eq!(word(SheetSetCode::from(set)), set.word());
        }
        for kind in papers::SheetKind::ALL {
            assert_eq!(word(SheetKindCode::from(kind)), kind.word());
        }
        for format in Format::ALL {
            assert_eq!(word(FormatCode::from(format)), format.name());
        }
    }
}
