//! A field smock of our own drafting in three sizes, written by the layers of ASTM D6673 (AutoCAD R13 syntax; layers as in the
//! standard's table) and, with its older habits, of ANSI/AAMA-292.
//!
//! Everything runs as in real files: the grain along x; open polylines that meet at corners; a block for each piece in each
//! size; quantity, notches and drill holes in the base size alone.

pub(crate) type At = (f64, f64);

pub(crate) const SIZES: [&str; 3] = ["S", "M", "L"];
pub(crate) const BASE: usize = 1;

/// A stretch of an outline, in millimetres.
pub(crate) enum Edge {
    Line(At, At),
    /// A cubic Bézier curve by its four control points.
    Curve([At; 4]),
}

impl Edge {
    /// Points at equal steps of the parameter, both ends with them.
    pub(crate) fn points(&self, steps: usize) -> Vec<At> {
        match *self {
            Edge::Line(a, b) => vec![a, b],
            Edge::Curve(p) => (0..=steps)
                .map(|k| {
                    let t = k as f64 / steps as f64;
                    let u = 1.0 - t;
                    let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
                    let at = |f: fn(&At) -> f64| p.iter().zip(w).map(|(p, w)| f(p) * w).sum::<f64>();
                    (at(|p| p.0), at(|p| p.1))
                })
                .collect(),
        }
    }
}

/// A piece in one size.
pub(crate) struct Draft {
    pub(crate) name: &'static str,
    pub(crate) material: &'static str,
    /// As drawn, and flipped.
    pub(crate) quantity: (u32, u32),
    pub(crate) edges: Vec<Edge>,
    pub(crate) mirror: Option<(At, At)>,
    pub(crate) grain: (At, At),
    /// With their layers.
    pub(crate) notches: Vec<(u32, At)>,
    pub(crate) drill_holes: Vec<At>,
    pub(crate) internal: Vec<Vec<At>>,
    pub(crate) cut_outs: Vec<Vec<At>>,
    pub(crate) sewing: Vec<Vec<At>>,
    pub(crate) is_graded: bool,
}

impl Draft {
    /// The outline as finely as it is wanted; of a half without the mirror line.
    pub(crate) fn ring(&self, steps: usize) -> Vec<At> {
        let mut ring: Vec<At> = Vec::new();
        for edge in &self.edges {
            ring.extend(edge.points(steps));
        }
        ring.dedup();
        if ring.first() == ring.last() {
            ring.pop();
        }
        ring
    }
}

/// Area by the shoelace formula, in square millimetres.
pub(crate) fn area(ring: &[At]) -> f64 {
    let n = ring.len();
    let twice: f64 = (0..n).map(|i| ring[i].0 * ring[(i + 1) % n].1 - ring[(i + 1) % n].0 * ring[i].1).sum();
    twice.abs() / 2.0
}

/// All pieces in one size, 0 the smallest.
pub(crate) fn pieces(size: usize) -> Vec<Draft> {
    let g = size as f64 - BASE as f64;
    let (long, wide) = (720.0 + 10.0 * g, 280.0 + 12.0 * g);
    let blank = |name, quantity, edges: Vec<Edge>| Draft {
        name,
        material: "Canvas",
        quantity,
        edges,
        mirror: None,
        grain: ((100.0, 100.0), (500.0, 100.0)),
        notches: Vec::new(),
        drill_holes: Vec::new(),
        internal: Vec::new(),
        cut_outs: Vec::new(),
        sewing: Vec::new(),
        is_graded: true,
    };
    // Shoulder, armhole, side and hem are alike in front and back but for their depth.
    let upper = |neck: At, tip: At, end: At, pit: At, side: At| {
        let armhole = [end, (end.0 - 60.0, end.1 - 30.0), (pit.0 + 20.0, pit.1 - 70.0), pit];
        vec![Edge::Line(neck, tip), Edge::Line(tip, end), Edge::Curve(armhole), Edge::Line(pit, side)]
    };
    let (tip, end) = ((long, 75.0), (long - 38.0, 205.0 + 4.0 * g));
    let (pit, side) = ((long - 245.0, wide), (0.0, wide + 10.0));

    // Front: a facing of 30 mm is cut in one with it.
    let neck_low = (long - 90.0, -30.0);
    let mut edges = vec![Edge::Line((0.0, -30.0), neck_low)];
    let neck = (long - 90.0, 0.0);
    edges.push(Edge::Line(neck_low, neck));
    edges.push(Edge::Curve([neck, (long - 85.0, 45.0), (long - 30.0, 70.0), tip]));
    edges.extend(upper(tip, tip, end, pit, side).into_iter().skip(1));
    edges.push(Edge::Line(side, (0.0, -30.0)));
    let Edge::Curve(armhole) = edges[4] else { unreachable!("the armhole is a curve") };
    let on_armhole = Edge::Curve(armhole).points(4)[2];
    let mut front = blank("Front", (1, 1), edges);
    front.notches = vec![(4, on_armhole), (80, (pit.0 * 0.4, lerp(side, pit, pit.0 * 0.4))), (83, neck)];
    front.drill_holes = vec![(300.0, 90.0), (300.0, 210.0)];
    front.internal = vec![vec![(0.0, 0.0), neck]];
    front.cut_outs = (0..4)
        .map(|k| vec![(120.0 + 130.0 * f64::from(k), -8.0), (120.0 + 130.0 * f64::from(k), 8.0)])
        .collect();
    front.sewing = vec![vec![(pit.0 - 5.0, wide - 12.0), (20.0, wide - 2.0), (20.0, -20.0)]];

    // Back: half of it, beside its mirror line.
    let neck = (long - 22.0, 0.0);
    let mut edges = vec![Edge::Curve([neck, (long - 22.0, 40.0), (long - 12.0, 70.0), tip])];
    edges.extend(upper(tip, tip, end, pit, side).into_iter().skip(1));
    edges.push(Edge::Line(side, (0.0, 0.0)));
    let mut back = blank("Back", (1, 0), edges);
    back.mirror = Some(((0.0, 0.0), neck));
    back.notches = vec![(4, on_armhole)];
    back.internal = vec![vec![(long - 160.0, 0.0), (long - 160.0, 190.0)]];

    // Sleeve: its head a curve of two halves.
    let (cap, half) = (600.0 + 5.0 * g, 190.0 + 6.0 * g);
    let foot = 450.0 + 3.0 * g;
    let top = (cap, 0.0);
    let (right, left) = ((foot, half), (foot, -half));
    let edges = vec![
        Edge::Curve([left, (foot + 70.0, -half + 40.0), (cap, -110.0), top]),
        Edge::Curve([top, (cap, 120.0), (foot + 80.0, half - 50.0), right]),
        Edge::Line(right, (0.0, 130.0 + 3.0 * g)),
        Edge::Line((0.0, 130.0 + 3.0 * g), (0.0, -130.0 - 3.0 * g)),
        Edge::Line((0.0, -130.0 - 3.0 * g), left),
    ];
    let mut sleeve = blank("Sleeve", (1, 1), edges);
    sleeve.grain = ((60.0, 0.0), (420.0, 0.0));
    sleeve.notches = vec![(82, top), (81, (foot * 0.4, lerp((0.0, 130.0 + 3.0 * g), right, foot * 0.4)))];

    // Pocket: two alike, the same in every size, its corners cut off.
    let corners = [(0.0, 20.0), (20.0, 0.0), (170.0, 0.0), (170.0, 150.0), (20.0, 150.0), (0.0, 130.0)];
    let edges = (0..6).map(|i| Edge::Line(corners[i], corners[(i + 1) % 6])).collect();
    let mut pocket = blank("Pocket", (2, 0), edges);
    pocket.grain = ((30.0, 75.0), (150.0, 75.0));
    pocket.internal = vec![vec![(140.0, 0.0), (140.0, 150.0)]];
    pocket.is_graded = false;

    // Collar stand, of interfacing.
    let run = 430.0 + 12.0 * g;
    let corners = [(0.0, 0.0), (run, 0.0), (run - 8.0, 45.0), (8.0, 45.0)];
    let edges = (0..4).map(|i| Edge::Line(corners[i], corners[(i + 1) % 4])).collect();
    let mut stand = blank("Collar stand", (1, 0), edges);
    stand.material = "Interfacing";
    stand.grain = ((60.0, 22.0), (300.0, 22.0));
    stand.notches = vec![(4, (run / 2.0, 0.0))];

    vec![front, back, sleeve, pocket, stand]
}

/// The y at some x between two points.
fn lerp(a: At, b: At, x: f64) -> f64 {
    a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
}

/// Which of the two standards, and in which units.
#[derive(Clone, Copy)]
pub(crate) enum Dialect {
    /// ASTM D6673: millimetres, dense curves on layer 84, quantities as drawn and flipped.
    Metric,
    /// ANSI/AAMA-292: inches, curves by their points alone, one number for the quantity, lines that end with CR and LF, and
    /// gaps of up to 0.2 mm at the corners.
    English,
}

/// The whole file.
pub(crate) fn written(dialect: Dialect) -> Vec<u8> {
    let mut out = Writer { text: String::new(), dialect };
    out.pair(0, "SECTION");
    out.pair(2, "HEADER");
    out.pair(0, "ENDSEC");
    out.pair(0, "SECTION");
    out.pair(2, "BLOCKS");
    let mut blocks = Vec::new();
    for (size, size_name) in SIZES.iter().enumerate() {
        for draft in pieces(size).iter().filter(|draft| draft.is_graded || size == BASE) {
            let name = format!("{}_{}", draft.name.to_uppercase().replace(' ', "_"), size_name);
            out.block(&name, draft, size);
            blocks.push(name);
        }
    }
    out.pair(0, "ENDSEC");
    out.pair(0, "SECTION");
    out.pair(2, "ENTITIES");
    let units = match dialect {
        Dialect::Metric => "METRIC",
        Dialect::English => "ENGLISH",
    };
    let texts = ["Style Name: Field smock", "Creation Date: 03-05-2024", "Author: our own", "Sample Size: M"];
    texts.into_iter().for_each(|text| out.text(1, text, (0.0, 0.0)));
    out.text(1, &format!("UNITS: {units}"), (0.0, 0.0));
    for name in &blocks {
        out.pair(0, "INSERT");
        out.pair(8, "1");
        out.pair(2, name);
        out.point(10, (0.0, 0.0));
    }
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    out.text.into_bytes()
}

struct Writer {
    text: String,
    dialect: Dialect,
}

impl Writer {
    fn is_metric(&self) -> bool {
        matches!(self.dialect, Dialect::Metric)
    }

    fn pair(&mut self, code: i32, value: &str) {
        let end = if self.is_metric() { "\n" } else { "\r\n" };
        self.text.push_str(&format!("{code:>3}{end}{value}{end}"));
    }

    fn number(&mut self, code: i32, mm: f64) {
        let value = if self.is_metric() { format!("{mm:.3}") } else { format!("{:.4}", mm / 25.4) };
        self.pair(code, &value);
    }

    fn point(&mut self, code: i32, p: At) {
        self.number(code, p.0);
        self.number(code + 10, p.1);
    }

    fn text(&mut self, layer: u32, words: &str, at: At) {
        self.pair(0, "TEXT");
        self.pair(8, &layer.to_string());
        self.point(10, at);
        self.number(40, 3.0);
        self.pair(1, words);
    }

    fn polyline(&mut self, layer: u32, points: &[At]) {
        self.pair(0, "POLYLINE");
        self.pair(8, &layer.to_string());
        self.pair(66, "1");
        self.pair(70, "0");
        for &p in points {
            self.pair(0, "VERTEX");
            self.pair(8, &layer.to_string());
            self.point(10, p);
        }
        self.pair(0, "SEQEND");
    }

    fn line(&mut self, layer: u32, (a, b): (At, At)) {
        self.pair(0, "LINE");
        self.pair(8, &layer.to_string());
        self.point(10, a);
        self.point(11, b);
    }

    fn dot(&mut self, layer: u32, p: At) {
        self.pair(0, "POINT");
        self.pair(8, &layer.to_string());
        self.point(10, p);
    }

    fn block(&mut self, name: &str, draft: &Draft, size: usize) {
        self.pair(0, "BLOCK");
        self.pair(8, "1");
        self.pair(2, name);
        self.pair(70, "64");
        self.point(10, (0.0, 0.0));
        let middle = (150.0, 60.0);
        let (name_key, size_key) =
            if self.is_metric() { ("Piece Name", "Size") } else { ("PIECE NAME", "SIZE") };
        self.text(1, &format!("{name_key}: {}", draft.name), middle);
        self.text(1, &format!("{size_key}: {}", SIZES[size]), middle);
        if size == BASE {
            let quantity = match (self.dialect, draft.quantity) {
                (Dialect::Metric, (plain, flipped)) => format!("{plain},{flipped}"),
                (Dialect::English, (plain, flipped)) => (plain + flipped).to_string(),
            };
            self.text(1, &format!("Quantity: {quantity}"), middle);
            let key = if self.is_metric() { "Material" } else { "FABRIC" };
            self.text(1, &format!("{key}: {}", draft.material), middle);
            self.text(15, &format!("Annotation: {} of our own", draft.name), middle);
        }
        for (i, edge) in draft.edges.iter().enumerate() {
            let mut points = edge.points(4);
            if !self.is_metric() && i % 2 == 1 {
                // Corners do not quite meet, and every second line runs the other way.
                points[0].0 += 0.2;
                points.reverse();
            }
            self.polyline(1, &points);
            if self.is_metric() {
                self.polyline(84, &edge.points(32));
            }
            if size == BASE {
                self.dot(2, edge.points(4)[0]);
                if matches!(edge, Edge::Curve(_)) {
                    edge.points(4)[1..4].iter().for_each(|&p| self.dot(3, p));
                }
            }
        }
        if let Some(mirror) = draft.mirror {
            self.line(6, mirror);
        }
        self.line(7, draft.grain);
        draft.internal.iter().for_each(|line| self.polyline(8, line));
        draft.cut_outs.iter().for_each(|line| self.polyline(11, line));
        draft.sewing.iter().for_each(|line| self.polyline(14, line));
        if size == BASE {
            draft.notches.iter().for_each(|&(layer, p)| self.dot(layer, p));
            draft.drill_holes.iter().for_each(|&p| self.dot(13, p));
        }
        self.pair(0, "ENDBLK");
    }
}
