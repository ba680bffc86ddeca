//! Files made to hurt: bombs, references outside, names that are paths, counts that are lies. Each is refused or read in
//! bounded time and memory, and says what is wrong.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use nest_core::import::{Import, ImportError, ImportSettings, JobSettings, WarningKind, import, pretty};

/// No file of any kind may take longer; ordinary ones take milliseconds. Generous, because tests share their machine.
const LONGEST: Duration = Duration::from_secs(20);

/// No file may make the whole of these tests take more, in KiB.
const MOST_MEMORY: u64 = 2 << 20;

/// Reads, and proves that it took bounded time and memory, and that what comes out is a job and a sheet.
fn bounded(what: &str, bytes: &[u8]) -> Result<Import, ImportError> {
    let start = Instant::now();
    let found = import(bytes, &ImportSettings::default());
    if let Ok(found) = &found {
        let _ = pretty(&found.job_file(&JobSettings::default()));
        let _ = found.contact_sheet(&JobSettings::default());
    }
    let took = start.elapsed();
    assert!(took < LONGEST, "{what} took {took:?}");
    // The most that was ever in use, where the system tells it.
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let most =
            line.and_then(|line| line.split_whitespace().next()).and_then(|kib| kib.parse::<u64>().ok());
        assert!(most.is_none_or(|kib| kib < MOST_MEMORY), "{what}: {most:?} KiB in use");
    }
    found
}

fn refused(what: &str, bytes: &[u8], says: &str) {
    match bounded(what, bytes) {
        Err(error) => assert!(error.to_string().contains(says), "{what}: {error}"),
        Ok(found) => panic!("{what}: {} pieces and no complaint", found.pattern.piece_count()),
    }
}

fn svg(inside: &str) -> Vec<u8> {
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="500mm" height="500mm" viewBox="0 0 500 500">{inside}</svg>"#
    )
    .into_bytes()
}

const SQUARE: &str = r#"<path d="M10,10 h300 v200 h-300 Z"/>"#;

fn dxf(blocks: &str, entities: &str) -> Vec<u8> {
    format!(
        "0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
    .into_bytes()
}

const CLOSED: &str =
    "0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n300\n20\n0\n10\n300\n20\n200\n10\n0\n20\n200\n";

#[test]
fn nothing_and_next_to_nothing() {
    for (what, bytes) in
        [("no bytes", &b""[..]), ("blanks", b" \r\n\t\n"), ("a mark of order", b"\xef\xbb\xbf")]
    {
        refused(what, bytes, "the file is empty");
    }
    refused("a NUL", b"\0", "");
    refused("noise", &[0xff, 0xfe, 0x00, 0xd8, 0x17, 0x91], "");
    refused("a word", b"pattern", "neither SVG nor DXF nor a table");
    refused("a picture", b"\x89PNG\r\n\x1a\n", "");
    refused("an archive", b"PK\x03\x04rest", "unpack it");
    refused("half a pair", b"0\nSECTION", "");
    refused("no section", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "no piece");
    refused("a head alone", b"piece,kind,x_mm,y_mm\n", "no piece");
    refused("an empty drawing", &svg(""), "no piece");
}

#[test]
fn entities_that_grow_or_lie_outside_are_refused() {
    let mut bomb = String::from("<!DOCTYPE svg [<!ENTITY l0 \"lol\">");
    for n in 1..20 {
        let _ = write!(bomb, "<!ENTITY l{n} \"{}\">", format!("&l{};", n - 1).repeat(10));
    }
    bomb.push_str("]><svg xmlns=\"http://www.w3.org/2000/svg\"><title>&l19;</title></svg>");
    refused("a bomb of entities", bomb.as_bytes(), "entities may only be short texts");
    let wide = format!(
        "<!DOCTYPE svg [<!ENTITY a \"{}\">]><svg xmlns=\"http://www.w3.org/2000/svg\"><title>{}</title></svg>",
        "a".repeat(100_000),
        "&a;".repeat(100_000)
    );
    refused("one long entity many times", wide.as_bytes(), "entities may only be short texts");
    for outside in [
        r#"<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/2000/svg"><title>&x;</title></svg>"#,
        r#"<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://example.org/x.dtd"> %x;]><svg xmlns="http://www.w3.org/2000/svg"/>"#,
    ] {
        refused("an entity outside", outside.as_bytes(), "nothing outside the file is read");
    }
}

#[test]
fn references_to_other_files_are_not_followed() {
    let inside = format!(
        r#"<image href="file:///etc/passwd" width="1" height="1"/><image xlink:href="../secret.png"/>
           <use href="other.svg#front"/><use href="file:///etc/passwd#x"/>
           <style>@import url("http://example.org/x.css"); path {{ fill: url(http://example.org/y#z) }}</style>{SQUARE}"#
    );
    let found = bounded("references", &svg(&inside)).expect("the square is a piece");
    assert_eq!(found.pattern.piece_count(), 1);
    assert!(found.warnings.iter().any(|w| matches!(w.kind, WarningKind::Outside(_))), "{:?}", found.warnings);
}

#[test]
fn names_are_never_paths() {
    let names = [
        "../../etc/passwd",
        "/etc/passwd",
        "..\\..\\windows",
        "C:\\x",
        "con",
        ".hidden",
        "a\u{202e}gpj.b",
        "-o",
    ];
    for name in names {
        let text = format!(r#"<g data-piece="{name}" data-cloth="{name}" data-size="{name}">{SQUARE}</g>"#);
        let found = bounded(name, &svg(&text)).expect("a piece");
        let file = found.job_file(&JobSettings::default());
        for piece in &file.pieces {
            assert!(
                piece.id.chars().all(|c| c.is_alphanumeric() || c == '-') && !piece.id.starts_with('-'),
                "{name} became {}",
                piece.id
            );
        }
    }
}

#[test]
fn counts_that_are_lies_cost_nothing() {
    for count in ["4294967295", "99999999999999999999", "-1", "1e9", "0", "NaN"] {
        let text = format!(r#"<g data-piece="Front" data-cut="{count}">{SQUARE}</g>"#);
        let found = bounded(count, &svg(&text)).expect("a piece");
        assert_eq!(found.job_file(&JobSettings::default()).pieces[0].cut, Some(1.0), "{count}");
        let text = format!("{CLOSED}0\nTEXT\n8\n0\n10\n100\n20\n100\n40\n5\n1\nQuantity: {count}\n");
        let found = bounded(count, &dxf("", &text)).expect("a piece");
        assert_eq!(found.job_file(&JobSettings::default()).pieces[0].cut, Some(1.0), "{count}");
    }
    // A polyline that claims two thousand million vertices, a spline that claims as many knots, and an array of insertions.
    let lies = CLOSED.replace("90\n4", "90\n2147483647");
    assert_eq!(bounded("vertices", &dxf("", &lies)).map(|f| f.pattern.piece_count()), Ok(1));
    let spline =
        "0\nSPLINE\n8\n0\n70\n8\n71\n3\n72\n32767\n73\n32767\n74\n32767\n40\n0\n40\n1\n10\n0\n20\n0\n";
    let _ = bounded("knots", &dxf("", &format!("{spline}{CLOSED}")));
    let block = format!("0\nBLOCK\n8\n0\n2\nA\n10\n0\n20\n0\n{CLOSED}0\nENDBLK\n");
    let array = "0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n70\n32000\n71\n32000\n44\n1\n45\n1\n";
    let _ = bounded("an array", &dxf(&block, array));
    let copies: String = (0..600)
        .map(|n| {
            format!(r#"<g data-piece="P{n}" data-cut="1000"><path d="M{},10 h20 v20 h-20 Z"/></g>"#, 30 * n)
        })
        .collect();
    refused("a million copies", &svg(&copies), "more than a job can be");
}

#[test]
fn things_that_multiply_are_counted() {
    // Each group shows the one before twice: two to the power of 40 squares.
    let mut uses = format!("<g id=\"u0\">{SQUARE}</g>");
    for n in 1..=40 {
        let _ = write!(uses, "<g id=\"u{n}\"><use href=\"#u{0}\"/><use href=\"#u{0}\" x=\"1\"/></g>", n - 1);
    }
    refused("uses of uses", &svg(&uses), "holds more than");
    let _ = bounded("a use of itself", &svg(&format!(r##"<g id="a"><use href="#a"/>{SQUARE}</g>"##)));
    let mut blocks = format!("0\nBLOCK\n8\n0\n2\nB0\n10\n0\n20\n0\n{CLOSED}0\nENDBLK\n");
    for n in 1..=15 {
        let insert = format!("0\nINSERT\n8\n0\n2\nB{}\n10\n1\n20\n1\n", n - 1);
        let _ = write!(blocks, "0\nBLOCK\n8\n0\n2\nB{n}\n10\n0\n20\n0\n{}0\nENDBLK\n", insert.repeat(4));
    }
    let bomb = dxf(&blocks, "0\nINSERT\n8\n0\n2\nB15\n10\n0\n20\n0\n");
    refused("blocks in blocks", &bomb, "holds more than");
    let own = "0\nBLOCK\n8\n0\n2\nA\n10\n0\n20\n0\n0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n0\nENDBLK\n";
    refused("a block in itself", &dxf(own, "0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n"), "no piece");
}

#[test]
fn depth_and_length_have_limits() {
    let deep = format!("{}{SQUARE}{}", "<g>".repeat(50_000), "</g>".repeat(50_000));
    refused("groups in groups", &svg(&deep), "");
    refused("33 MiB", &vec![b' '; 33 << 20], "divide the pattern");
    let long = format!(r#"<path d="M0,0 {}"/>"#, "l1,0 0,1 ".repeat(900_000));
    let found = bounded("a path of millions", &svg(&long)).expect("told as a piece left out");
    assert!(found.left_out[0].to_string().contains("more than 50000 points"), "{:?}", found.left_out);
    let mut rows = String::from("x,y\n");
    (0..1_200_000).for_each(|n| rows.push_str(if n % 2 == 0 { "1,2\n" } else { "3,4\n" }));
    refused("a million rows", rows.as_bytes(), "holds more than");
    let _ = bounded("a million columns", format!("x,y{}\n1,2\n", ",z".repeat(1_000_000)).as_bytes());
    let _ = bounded("an open quote", format!("piece,x,y\n\"{}", "a,1\n".repeat(2_000_000)).as_bytes());
    let vertices = "0\nVERTEX\n8\n0\n10\n1\n20\n1\n".repeat(150_000);
    refused(
        "a polyline of 150 000 vertices",
        &dxf("", &format!("0\nPOLYLINE\n8\n0\n66\n1\n70\n1\n{vertices}0\nSEQEND\n")),
        "holds more than",
    );
    let blocks: String = (0..25_000).map(|n| format!("0\nBLOCK\n8\n0\n2\nB{n}\n0\nENDBLK\n")).collect();
    refused("25 000 blocks", &dxf(&blocks, CLOSED), "holds more than");
    // As many lines as are allowed, none of them closed: the search for ends that meet is bounded too.
    let lines: String = (0..19_000).map(|n| format!(r#"<path d="M{n},0 v{}"/>"#, n % 7 + 1)).collect();
    let _ = bounded("19 000 open lines", &svg(&lines));
    // Half of them rings around one another: the search for what lies in what.
    let rings: String = (1..3000)
        .map(|n| format!("<circle cx=\"250\" cy=\"250\" r=\"{}\"/>", 6.0 + f64::from(n) * 0.05))
        .collect();
    let _ = bounded("3000 rings", &svg(&rings));
}

#[test]
fn numbers_beyond_measure_are_refused_or_left_out() {
    for number in ["1e300", "-1e300", "1e-300", "NaN", "inf", "1e999", "0x10", "1e5e5", "--1", ""] {
        for text in [
            format!(r#"<path d="M{number},0 L100,0 L100,100 Z"/>"#),
            format!(r#"<path d="M0,0 A{number},{number} 0 1 1 100,100 L0,100 Z"/>"#),
            format!(r#"<path d="M0,0 C{number},5 5,{number} 100,100 L0,100 Z"/>"#),
            format!(r#"<g transform="scale({number})">{SQUARE}</g>"#),
            format!(r#"<g transform="matrix({number} 0 0 {number} {number} 0)">{SQUARE}</g>"#),
            format!(r#"<circle cx="{number}" cy="0" r="{number}"/>"#),
            format!(r#"<rect width="{number}" height="100" rx="{number}"/>"#),
            format!(r#"<svg viewBox="0 0 {number} {number}" width="{number}mm" height="1mm">{SQUARE}</svg>"#),
            format!(
                r#"<line data-role="scale" data-length="{number}mm" x1="0" y1="0" x2="1" y2="0"/>{SQUARE}"#
            ),
        ] {
            let _ = bounded(&text, &svg(&text));
        }
        for size in [
            format!(r#"width="{number}mm" height="{number}mm" viewBox="0 0 10 10""#),
            format!(r#"viewBox="0 0 {number} 1""#),
        ] {
            let text = format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {size}>{SQUARE}</svg>"#);
            let _ = bounded(&text, text.as_bytes());
        }
        for text in [
            CLOSED.replace("300", number),
            format!("{CLOSED}0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n{number}\n"),
            format!("{CLOSED}0\nARC\n8\n0\n10\n0\n20\n0\n40\n{number}\n50\n{number}\n51\n{number}\n"),
            format!(
                "{CLOSED}0\nELLIPSE\n8\n0\n10\n0\n20\n0\n11\n{number}\n21\n0\n40\n{number}\n41\n0\n42\n{number}\n"
            ),
            format!(
                "0\nLWPOLYLINE\n8\n0\n90\n2\n70\n1\n10\n0\n20\n0\n42\n{number}\n10\n100\n20\n0\n42\n{number}\n"
            ),
        ] {
            let _ = bounded(&text, &dxf("", &text));
        }
        let table = format!("x,y,seam\n0,0,{number}\n{number},0,\n100,{number},\n");
        let _ = bounded(&table, table.as_bytes());
    }
    // The largest circle that a drawing may hold, to the finest tolerance.
    let circle = "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n99999999999\n";
    let _ = bounded("a vast circle", &dxf("", &format!("{CLOSED}{circle}")));
}

#[test]
fn many_marks_in_many_sizes_take_bounded_time() {
    let mut dxf = "0\nSECTION\n2\nBLOCKS\n".to_owned();
    for size in 0..20 {
        let head = "0\nTEXT\n8\n1\n1\nPiece Name: P\n0\nTEXT\n8\n1\n1\nSize:";
        write!(dxf, "0\nBLOCK\n8\n1\n2\nP_{size}\n{head} {size}\n0\nPOLYLINE\n8\n1\n66\n1\n70\n1\n")
            .expect("text");
        for i in 0..2000 {
            let turn = std::f64::consts::TAU * f64::from(i) / 2000.0;
            let r = 200.0 + f64::from(size);
            write!(dxf, "0\nVERTEX\n8\n1\n10\n{:.2}\n20\n{:.2}\n", r * turn.cos(), r * turn.sin())
                .expect("text");
        }
        dxf.push_str("0\nSEQEND\n");
        for i in 0..if size == 0 { 3000 } else { 0 } {
            write!(dxf, "0\nPOINT\n8\n13\n10\n{}\n20\n{}\n", i % 100, i / 100).expect("text");
        }
        dxf.push_str("0\nENDBLK\n");
    }
    dxf.push_str("0\nENDSEC\n0\nEOF\n");
    let found = bounded("many marks", dxf.as_bytes()).expect("a pattern");
    assert_eq!((found.pattern.piece_count(), found.pattern.sizes().len()), (1, 20));
    let told = |kind: &WarningKind| matches!(kind, WarningKind::TooManyToCarry { count: 2900, .. });
    assert!(found.warnings.iter().any(|warning| told(&warning.kind)), "{:?}", found.warnings);
}
