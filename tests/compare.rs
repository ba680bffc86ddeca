//! `nest compare` end to end: the table, the files, the page in a browser, and what is refused.

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};

use crate::browser::Browser;
use crate::program::{Ended, SMALL, Table, ended, sample};

/// A job with nap, two sizes and a price.
const PRICED: &str = r#"{
    "version": 1, "name": "Waistcoat <1 & \"2\">", "units": "cm", "sizes": ["S", "M"],
    "pieces": [
        { "id": "back", "name": "Back", "sizes": {
            "S": { "outline": [[0, 0], [58, 0], [58, 21], [34, 26], [0, 25]], "fold_edge": [[0, 0], [58, 0]] },
            "M": { "outline": [[0, 0], [60, 0], [60, 22], [35, 27], [0, 26]], "fold_edge": [[0, 0], [60, 0]] } } },
        { "id": "front", "name": "Front", "cut": 2, "pairs": true,
          "outline": [[0, 0], [40, 0], [60, 12], [35, 25], [0, 26]], "grainline": [[5, 10], [40, 10]] }
    ],
    "order": [{ "size": "M" }],
    "cloths": [{ "width": 140, "selvage": 1, "nap": "one-way", "end_allowance": 1, "straightening": 5,
                 "shrinkage": { "along": 3 }, "price": { "amount": 12.9, "per": "m", "currency": "EUR" } }]
}"#;

fn compared(table: &Table, more: &[&str]) -> Ended {
    table.write("job.json", PRICED);
    let mut args = vec![
        "compare",
        "job.json",
        "--rounds",
        "2",
        "--widths",
        "60,90,140cm",
        "--nap",
        "none,one-way",
        "-q",
    ];
    args.extend(more);
    let ended = table.run(&args);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(ended.stderr, "", "quiet");
    ended
}

#[test]
fn the_table_names_every_width_and_what_nap_costs() {
    let table = Table::new();
    let ended = compared(&table, &[]);
    for words in [
        "Length to buy, no nap",
        "Length to buy, with nap",
        "60 cm",
        "140 cm, with nap",
        "lengthwise fold",
        "a crosswise fold is for cloth without nap",
        "The cost of nap on 90 cm:",
        "to pay",
        "12.90 EUR",
    ] {
        assert!(ended.stdout.contains(words), "{words}: {}", ended.stdout);
    }
    // With a mark in every column of both matrices.
    let marked = |line: &&str| line.contains('*') && line.starts_with("  ");
    assert!(ended.stdout.lines().filter(marked).count() >= 4, "{}", ended.stdout);
    assert_eq!(table.names(), ["job.json"], "nothing is written unasked");
}

#[test]
fn files_agree_with_one_another_and_with_the_table() {
    let table = Table::new();
    let ended = compared(&table, &["--csv", "c.csv", "--json", "c.json", "--html", "c.html"]);
    assert_eq!(table.names(), ["c.csv", "c.html", "c.json", "job.json"]);
    let json: serde_json::Value = serde_json::from_str(&table.read("c.json")).unwrap();
    let columns = json["columns"].as_array().unwrap();
    assert_eq!(columns.len(), 6);
    let mut reader = csv::Reader::from_path(table.path().join("c.csv")).unwrap();
    let heads = reader.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let cells: Vec<&serde_json::Value> =
        columns.iter().flat_map(|column| column["cells"].as_array().unwrap()).collect();
    assert_eq!(rows.len(), cells.len());
    let (mut laid, mut refused) = (0, 0);
    for (row, cell) in rows.iter().zip(cells) {
        assert_eq!(row[at("spread")], *cell["spread"].as_str().unwrap());
        match cell["summary"].as_object() {
            Some(summary) => {
                laid += 1;
                assert_eq!(row[at("to_buy")], *summary["to_buy"].as_str().unwrap());
                assert!(ended.stdout.contains(&row[at("to_buy")]));
                // Followed by hand: 3 % shrinkage, 5 cm to straighten, steps of 10 cm, 12.90 for the metre.
                let lay: f64 = row[at("cloth_mm")].parse().unwrap();
                let needed = lay / 0.97 + 50.0;
                let steps = (needed / 100.0 - 1e-4).ceil();
                assert_eq!(row[at("to_buy_mm")].parse::<f64>().unwrap(), 100.0 * steps, "{row:?}");
                assert!((row[at("cost")].parse::<f64>().unwrap() - 1.29 * steps).abs() < 0.006, "{row:?}");
                let efficiency: f64 = row[at("efficiency_percent")].parse().unwrap();
                let width: f64 = row[at("width_mm")].parse().unwrap();
                // 2 (58 x 21 .. 26) and 2 fronts, by the shoelace formula: 2 x 1457.5 and 2 x 1172.5 square centimetres.
                let area = 2.0
                    * (shoelace(&[(0., 0.), (60., 0.), (60., 22.), (35., 27.), (0., 26.)])
                        + shoelace(&[(0., 0.), (40., 0.), (60., 12.), (35., 25.), (0., 26.)]));
                assert!((efficiency - 100.0 * area * 100.0 / (width * lay)).abs() < 0.02, "{row:?}");
            }
            None => {
                refused += 1;
                assert_eq!(row[at("refused")], *cell["refused"].as_str().unwrap());
            }
        }
    }
    assert!(laid > 20 && refused > 6, "{laid} laid, {refused} refused");
}

/// Area of a polygon.
fn shoelace(ring: &[(f64, f64)]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>() / 2.0
}

#[test]
fn the_page_is_whole_and_fetches_nothing() {
    let table = Table::new();
    compared(&table, &["--html", "c.html", "--sizes", "S,M"]);
    let page = table.read("c.html");
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let parsed = roxmltree::Document::parse_with_options(&page, options).unwrap();
    let named = |name: &'static str| {
        parsed.descendants().filter(move |n| n.has_tag_name(("http://www.w3.org/1999/xhtml", name)))
    };
    assert_eq!(
        named("h1").next().unwrap().text(),
        Some("Waistcoat <1 & \"2\">: the cloth \"self\" compared")
    );
    // Nothing outside the page: the only addresses are the names of the two languages.
    let outside: Vec<&str> =
        page.match_indices("http").map(|(at, _)| &page[at..(at + 30).min(page.len())]).collect();
    for address in outside {
        let known = ["http://www.w3.org/", "http-equiv"].iter().any(|known| address.starts_with(known));
        assert!(known, "{address}");
    }
    for node in parsed.descendants() {
        for attribute in node.attributes().filter(|a| matches!(a.name(), "src" | "href")) {
            assert!(attribute.value().starts_with('#'), "{}", attribute.value());
        }
    }
    // Names are given once, and lead somewhere.
    let names: Vec<&str> = parsed.descendants().filter_map(|n| n.attribute("id")).collect();
    let different: BTreeSet<&str> = names.iter().copied().collect();
    assert_eq!(names.len(), different.len());
    let links: Vec<&str> = named("a").filter_map(|a| a.attribute("href")).collect();
    assert!(links.len() > 10);
    assert!(links.iter().all(|link| different.contains(&link[1..])), "{links:?}");
    // Every head of the table of cells has a button and says how it is sorted.
    let cells = named("table").find(|t| t.attribute("class") == Some("cells sortable")).unwrap();
    let heads: Vec<_> = cells.descendants().filter(|n| n.attribute("scope") == Some("col")).collect();
    assert!(heads.len() >= 16);
    for head in heads {
        assert_eq!(head.attribute("aria-sort"), Some("none"));
        assert!(
            head.first_element_child()
                .is_some_and(|b| b.has_tag_name(("http://www.w3.org/1999/xhtml", "button")))
        );
    }
    let charts = parsed.descendants().filter(|n| n.attribute("class") == Some("chart")).count();
    assert_eq!(charts, 4, "two sizes, with and without nap");
    let drawings = parsed.descendants().filter(|n| n.attribute("class") == Some("lay")).count();
    assert!(drawings >= 12, "{drawings}");
}

/// Says past the test's own capture of output that something was not tried.
fn skipped(test: &str) {
    let said = format!("SKIPPED {test}: there is no Chromium on this machine\n");
    std::io::stderr().write_all(said.as_bytes()).unwrap();
}

/// The page does in a browser what it should: heads sort, by mouse and by keyboard, and say so.
#[test]
fn the_page_works_in_a_browser() {
    let Some(browser) = Browser::find() else {
        return skipped("the_page_works_in_a_browser");
    };
    let table = Table::new();
    compared(&table, &["--html", "c.html"]);
    // A second script in a copy of the page plays the reader. The policy of the page stays in force.
    let reader = r##"<script>
        const told = [];
        const tell = function (name, value) { told.push(name + "=" + value); };
        window.addEventListener("error", function (event) { tell("error", event.message); });
        document.addEventListener("securitypolicyviolation", function (event) { tell("blocked", event.violatedDirective); });
        const table = document.querySelector("table.sortable");
        const heads = Array.from(table.tHead.rows[0].cells);
        const column = heads.findIndex(function (head) { return head.textContent === "Lay"; });
        const figures = function () {
          return Array.from(table.tBodies[0].rows).map(function (row) { return parseFloat(row.cells[column].dataset.value); });
        };
        const ordered = function (sign) {
          return figures().every(function (figure, i, all) { return i === 0 ? true : Math.sign(all[i - 1] - figure) !== sign; });
        };
        const button = heads[column].querySelector("button");
        tell("rows", figures().length);
        button.click();
        tell("up", ordered(1));
        tell("up-said", heads[column].getAttribute("aria-sort"));
        button.click();
        tell("down", ordered(-1));
        tell("down-said", heads[column].getAttribute("aria-sort"));
        const spread = heads[0].querySelector("button");
        spread.focus();
        tell("focus", document.activeElement === spread);
        spread.click();
        tell("words", table.tBodies[0].rows[0].cells[0].textContent);
        tell("others", heads[column].getAttribute("aria-sort"));
        tell("status", document.getElementById("sorted").textContent);
        tell("rows-after", figures().length);
        tell("wider-than-window", document.documentElement.scrollWidth !== document.documentElement.clientWidth);
        const boxes = Array.from(document.querySelectorAll("figure.lay svg")).map(function (svg) { return svg.getBoundingClientRect(); });
        tell("drawings-seen", boxes.every(function (box) { return Math.min(box.width, box.height) !== 0; }));
        document.body.dataset.told = told.join("|");
    </script>"##;
    let page = table.read("c.html").replace("</body>", &format!("{reader}</body>"));
    table.write("read.html", page);
    let dom = browser.dom(&table.path().join("read.html"));
    let (_, told) =
        dom.split_once("data-told=\"").unwrap_or_else(|| panic!("the reader did not finish: {dom:.2000}"));
    let told: Vec<&str> = told.split('"').next().unwrap().split('|').collect();
    let says = |name: &str| {
        let lead = format!("{name}=");
        told.iter()
            .find_map(|line| line.strip_prefix(lead.as_str()))
            .unwrap_or_else(|| panic!("{name}: {told:?}"))
    };
    assert!(!told.iter().any(|line| line.starts_with("error") || line.starts_with("blocked")), "{told:?}");
    assert!(says("rows").parse::<usize>().unwrap() > 20);
    assert_eq!(says("rows-after"), says("rows"));
    assert_eq!((says("up"), says("up-said")), ("true", "ascending"));
    assert_eq!((says("down"), says("down-said")), ("true", "descending"));
    assert_eq!(says("focus"), "true");
    assert_eq!(says("words"), "lengthwise fold", "the first in the alphabet");
    assert_eq!(says("others"), "none");
    assert_eq!(says("status"), "sorted by Spread, ascending");
    assert_eq!(says("wider-than-window"), "false");
    assert_eq!(says("drawings-seen"), "true");
}

/// On A4 and on Letter nothing runs off the paper, and the pages hold what the screen does.
#[test]
fn the_page_prints() {
    let Some(browser) = Browser::find() else {
        return skipped("the_page_prints");
    };
    let table = Table::new();
    compared(&table, &["--html", "c.html"]);
    for (paper, points) in [("A4", (595.0, 842.0)), ("Letter", (612.0, 792.0))] {
        let page = table.read("c.html").replace("</style>", &format!("@page {{ size: {paper}; }}</style>"));
        table.write("print.html", page);
        let pdf = browser.pdf(&table.path().join("print.html"));
        let printed = lopdf::Document::load_mem(&pdf).unwrap();
        let pages = printed.get_pages();
        assert!((3..30).contains(&pages.len()), "{} pages", pages.len());
        for id in pages.values() {
            let page = printed.get_dictionary(*id).unwrap();
            let sides: Vec<f64> = page
                .get(b"MediaBox")
                .and_then(lopdf::Object::as_array)
                .unwrap()
                .iter()
                .map(|side| f64::from(side.as_float().unwrap()))
                .collect();
            assert!(
                (sides[2] - points.0).abs() < 1.5 && (sides[3] - points.1).abs() < 1.5,
                "{paper}: {sides:?}"
            );
        }
        fs::write(table.path().join("print.pdf"), pdf).unwrap();
    }
}

/// Cloth in hand with a stain, and a width of which there is none.
#[test]
fn cloth_in_hand_and_its_flaws_are_told_in_every_form() {
    let table = Table::new();
    let hand =
        r#""width": 140, "length_in_hand": 110, "flaws": [{ "spot": [30, 40], "radius": 3 }], "selvage": 1"#;
    table.write("job.json", PRICED.replace(r#""width": 140, "selvage": 1"#, hand));
    let ended = table.run(&[
        "compare", "job.json", "--widths", "60,140cm", "--rounds", "2", "-q", "--csv", "c.csv", "--json",
        "c.json", "--html", "c.html",
    ]);
    assert_eq!((ended.code, ended.stderr.as_str()), (Some(0), ""), "{ended:?}");
    let page = table.read("c.html");
    for words in ["In hand are 110.00 cm", "Kept clear on 140 cm, the cloth that the job describes: 1 flaw."]
    {
        assert!(ended.stdout.contains(words), "{words}: {}", ended.stdout);
        assert!(page.contains(words), "{words}");
    }
    assert!(
        ended.stdout.contains("Left of the cloth in hand, or missing, in centimetres"),
        "{}",
        ended.stdout
    );
    let mut reader = csv::Reader::from_path(table.path().join("c.csv")).unwrap();
    let heads = reader.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let mut fits = BTreeSet::new();
    for row in reader.records().map(Result::unwrap) {
        assert_eq!(&row[at("flaws_kept_clear")], if &row[at("width")] == "140 cm" { "1" } else { "0" });
        if row[at("refused")].is_empty() {
            // Followed by hand: 3 % shrinkage and 5 cm to straighten, of 110 cm.
            let left = 1100.0 - (row[at("cloth_mm")].parse::<f64>().unwrap() / 0.97 + 50.0);
            let (field, other) =
                if left >= 0.0 { ("left_over_mm", "missing_mm") } else { ("missing_mm", "left_over_mm") };
            assert!((row[at(field)].parse::<f64>().unwrap() - left.abs()).abs() < 0.02, "{row:?}");
            assert_eq!(&row[at(other)], "");
            fits.insert(row[at("fits")].to_owned());
        }
    }
    assert_eq!(fits.into_iter().collect::<Vec<_>>(), ["no", "yes"], "60 cm is too narrow for it, 140 is not");
    let json: serde_json::Value = serde_json::from_str(&table.read("c.json")).unwrap();
    assert_eq!(json["notes"].as_array().map(Vec::len), Some(2));
    let cells: Vec<&serde_json::Value> =
        json["columns"].as_array().unwrap().iter().flat_map(|c| c["cells"].as_array().unwrap()).collect();
    let told = cells.iter().filter(|cell| cell["in_hand"]["have_mm"] == 1100.0).count();
    assert_eq!(told, cells.iter().filter(|cell| cell["summary"].is_object()).count());
}

/// A shirt with less in hand than any spread needs.
fn too_short() -> String {
    let shirt = fs::read_to_string(sample("work-shirt")).unwrap();
    let width = r#""kind": "self", "width": 112,"#;
    let short = shirt.replace(width, &format!(r#"{width} "length_in_hand": 160,"#));
    assert_ne!(short, shirt);
    short
}

#[test]
fn what_to_leave_out_is_searched_for_within_the_rounds_on_any_number_of_threads() {
    let table = Table::new();
    table.write("job.json", too_short());
    let run = |rounds: &str, threads: &str| {
        let ended = table.run(&[
            "compare",
            "job.json",
            "--widths",
            "90,112cm",
            "--spreads",
            "single,lengthwise-fold",
            "--rounds",
            rounds,
            "--threads",
            threads,
            "--json",
            "c.json",
            "-q",
        ]);
        assert_eq!(ended.code, Some(0), "{ended:?}");
        (ended.stdout, table.read("c.json"))
    };
    let (told, file) = run("8", "1");
    assert_eq!((told.clone(), file.clone()), run("8", "2"), "2 threads");
    let tried = |file: &str| -> Vec<u64> {
        let json: serde_json::Value = serde_json::from_str(file).unwrap();
        assert!(json["rounds"].as_u64().unwrap() <= 16);
        let columns = json["columns"].as_array().unwrap();
        let cells = columns.iter().flat_map(|column| column["cells"].as_array().unwrap());
        let of = |cell: &serde_json::Value| {
            let without = &cell["in_hand"]["without"];
            let needed = without["needed_mm"].as_f64()?;
            assert!(needed <= 1600.0, "{without}");
            without["tried"].as_u64()
        };
        cells.filter_map(of).collect()
    };
    let searched = tried(&file);
    assert!(searched.len() >= 3, "{searched:?}");
    assert!(searched.iter().any(|tried| *tried > 0), "{searched:?}");
    assert!(told.contains("the least loss"), "{told}");
    // The look alone leaves no rounds for it.
    let (told, file) = run("1", "1");
    let certain = tried(&file);
    assert!(certain.iter().all(|tried| *tried == 0), "{certain:?}");
    assert!(!told.contains("the least loss") && told.contains("without a search"), "{told}");
}

/// Ctrl-C ends the search for lays and does not begin one for what to leave out, though most of the time is left.
#[cfg(unix)]
#[test]
fn an_interrupt_ends_a_comparison_with_what_is_certain() {
    let table = Table::new();
    table.write("job.json", too_short());
    let mut child = table.start(&["compare", "job.json", "--widths", "90,112cm", "--time", "300s"]);
    let mut stderr = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    stderr.read_line(&mut line).unwrap();
    assert_eq!(line, "2 columns to compare\n");
    let killed = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(killed.success());
    let mut rest = String::new();
    stderr.read_to_string(&mut rest).unwrap();
    let ended = ended(child);
    assert_eq!(ended.code, Some(0), "{ended:?} {rest}");
    assert!(rest.contains("Stopping at the end of this round"), "{rest}");
    assert!(ended.stdout.contains("leave out, or cut from other cloth,"), "{}", ended.stdout);
    assert!(!ended.stdout.contains("the least loss"), "{}", ended.stdout);
}

#[test]
fn remnants_are_said_to_be_left_out() {
    let table = Table::new();
    let remnants = r#""width": 140, "remnants": [{ "length": 80, "width": 70 }], "selvage": 1"#;
    table.write("job.json", PRICED.replace(r#""width": 140, "selvage": 1"#, remnants));
    let ended = table.run(&["compare", "job.json", "--rounds", "1", "-q"]);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert!(
        ended.stdout.contains("cuts this cloth from 1 remnant; a comparison is about cloth off the roll"),
        "{}",
        ended.stdout
    );
}

#[test]
fn threads_are_no_part_of_a_comparison() {
    let table = Table::new();
    table.write("job.json", SMALL);
    let run = |threads: &str, name: &str| {
        let ended = table.run(&[
            "compare",
            "job.json",
            "--widths",
            "70,90cm",
            "--rounds",
            "2",
            "--threads",
            threads,
            "--json",
            name,
            "-q",
        ]);
        assert_eq!(ended.code, Some(0), "{ended:?}");
        ended.stdout
    };
    assert_eq!(run("1", "one.json"), run("2", "two.json"));
    assert_eq!(table.read("one.json"), table.read("two.json"));
}

#[test]
fn one_result_can_go_to_standard_output() {
    let table = Table::new();
    let ended = table.run_with_input(
        &["compare", "-", "--rounds", "1", "--csv", "-", "-q", "--spreads", "single"],
        SMALL.as_bytes(),
    );
    assert_eq!(ended.code, Some(0), "{ended:?}");
    let mut reader = csv::Reader::from_reader(ended.stdout.as_bytes());
    assert_eq!(reader.records().count(), 8, "every kind of spread has a line");
    assert!(ended.stderr.contains("Length to buy"), "{}", ended.stderr);
}

#[test]
fn a_column_that_nothing_serves_ends_with_one() {
    let table = Table::new();
    table.write("job.json", SMALL);
    let ended = table.run(&["compare", "job.json", "--widths", "20,140cm", "--rounds", "1", "-q"]);
    assert_eq!(ended.code, Some(1), "{ended:?}");
    assert!(ended.stdout.contains("mm too little"), "{}", ended.stdout);
}

#[test]
fn bad_input_is_refused() {
    let table = Table::new();
    table.write("job.json", PRICED);
    for (args, says) in [
        (&["--widths", "wide"][..], "\"wide\" is no width"),
        (&["--widths", "90,"], "\"\" is no width"),
        (&["--widths", "90ells"], "\"ells\" is no unit of width"),
        (&["--widths", "1"], "leaves nothing between the selvages"),
        (&["--widths", "1000000m"], "the most that can be handled is 100 m"),
        (&["--widths", "0.0001mm"], "too narrow"),
        (&["--nap", "both"], "possible values: none, one-way"),
        (&["--views", "long"], "the job has no view \"long\"; it has all"),
        (&["--sizes", "S,XXL"], "the job has no size \"XXL\"; it has S, M"),
        (&["--spreads", "folded"], "lengthwise-fold"),
        (&["--cloth", "lace"], "the job has no cloth of the kind \"lace\"; it has self"),
        (&["--json", "job.json"], "job.json is what is read"),
        (&["--json", "a.txt", "--csv", "a.txt"], "a.txt would be written twice"),
        (&["--json", "-", "--csv", "-"], "only one of --csv, --json and --html"),
        (&["--html", "."], "is a folder"),
        (&["--html", "no-such/c.html"], "cannot write to"),
        (&["--rounds", "0"], "--rounds"),
    ] {
        let mut all = vec!["compare", "job.json"];
        if !args.contains(&"--rounds") {
            all.extend(["--rounds", "1"]);
        }
        all.extend(args);
        let ended = table.run(&all);
        assert_eq!(ended.code, Some(2), "{args:?}: {ended:?}");
        assert!(ended.stderr.contains(says), "{args:?}, not \"{says}\" but {}", ended.stderr);
        assert_eq!((ended.stdout.as_str(), table.names()), ("", vec!["job.json".to_owned()]), "{args:?}");
    }
    let many: Vec<String> = (800..1001).map(|mm| mm.to_string()).collect();
    let ended = table.run(&["compare", "job.json", "--widths", &format!("{}mm", many.join(","))]);
    assert_eq!(ended.code, Some(2));
    assert!(ended.stderr.contains("201 combinations are more than the 200"), "{}", ended.stderr);
    let broken = table.run(&["compare", &sample("no-such-job"), "--rounds", "1"]);
    assert_eq!(broken.code, Some(2));
}
