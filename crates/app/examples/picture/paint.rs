//! Colours and the few shapes that the drawing is made of.

/// Ink, quiet ink, paper.
pub const INK: &str = "#1f2328";
/// For what is said beside.
pub const QUIET: &str = "#6a7078";
/// The ground.
pub const PAPER: &str = "#fbfaf7";

/// Colours of the runs in the order of their cylinders: told apart with colour-blind eyes too
/// (M. Okabe and K. Ito, Color Universal Design, 2008), black left out.
const RUNS: [[f64; 3]; 7] = [
    [0.0, 114.0, 178.0],
    [230.0, 159.0, 0.0],
    [0.0, 158.0, 115.0],
    [213.0, 94.0, 0.0],
    [204.0, 121.0, 167.0],
    [86.0, 180.0, 233.0],
    [240.0, 228.0, 66.0],
];

/// The colour of the run at a place in the order.
pub fn run(index: usize) -> [f64; 3] {
    RUNS[index % RUNS.len()]
}

/// A colour in light: 0 in full shade, 1 in full light, in steps so that few colours are written.
pub fn lit(colour: [f64; 3], light: f64) -> String {
    let light = (light.clamp(0.0, 1.0) * 14.0).round() / 14.0;
    let shade = |c: f64| {
        let dark = 0.42 * c;
        if light < 0.72 { dark + (c - dark) * light / 0.72 } else { c + (255.0 - c) * 0.75 * (light - 0.72) / 0.28 }
    };
    let [r, g, b] = colour.map(|c| shade(c).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A colour mixed with the paper: `share` of it.
pub fn pale(colour: [f64; 3], share: f64) -> String {
    let [r, g, b] = [0, 1, 2].map(|i| (colour[i] * share + [251.0, 250.0, 247.0][i] * (1.0 - share)).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The text made safe for SVG.
pub fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}

/// A line of text.
pub fn text(x: f64, y: f64, size: f64, colour: &str, anchor: &str, words: &str) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" fill=\"{colour}\" text-anchor=\"{anchor}\">{}</text>\n",
        escape(words)
    )
}

/// A line of text with a halo of paper, readable over anything.
pub fn label(x: f64, y: f64, size: f64, colour: &str, anchor: &str, words: &str) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" fill=\"{colour}\" text-anchor=\"{anchor}\" \
         stroke=\"{PAPER}\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>\n",
        escape(words)
    )
}

/// The number of a run in a disc of its colour.
pub fn disc(x: f64, y: f64, colour: [f64; 3], number: &str) -> String {
    let [r, g, b] = colour;
    let ink = if 0.3 * r + 0.59 * g + 0.11 * b > 135.0 { INK } else { "#ffffff" };
    format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"14\" fill=\"{}\" stroke=\"#fff\" stroke-width=\"2\"/>\n\
         <text x=\"{x:.1}\" y=\"{:.1}\" font-size=\"16\" font-weight=\"bold\" fill=\"{ink}\" \
         text-anchor=\"middle\">{}</text>\n",
        lit(colour, 0.72),
        y + 5.8,
        escape(number)
    )
}
