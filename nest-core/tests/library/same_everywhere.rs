use std::path::{Path, PathBuf};

/// Methods of floating-point numbers whose last bit differs between machines: the system's own library decides. Square roots,
/// products and `libm` are the same everywhere.
const SYSTEM: [&str; 26] = [
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp", "exp2",
    "exp_m1", "hypot", "ln", "ln_1p", "log", "log10", "log2", "powf", "powi", "sin", "sin_cos", "sinh",
    "tan", "tanh",
];

/// Every source below a folder, or the one named.
fn sources(at: &Path) -> Vec<PathBuf> {
    if at.is_file() {
        return vec![at.to_owned()];
    }
    let entries = std::fs::read_dir(at).expect("a folder").map(|entry| entry.expect("readable").path());
    entries
        .flat_map(|path| sources(&path))
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .collect()
}

/// The calls of such methods in a source, apart from its tests, which come last.
fn calls(source: &str) -> Vec<String> {
    let own = source.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code = own.lines().filter(|line| !line.trim_start().starts_with("//"));
    let found = code.flat_map(|line| {
        let is_called =
            move |name: &&&str| line.contains(&format!(".{name}(")) || line.contains(&format!("f64::{name}"));
        SYSTEM.iter().filter(is_called).map(|name| (*name).to_owned())
    });
    found.collect()
}

#[test]
fn search_and_geometry_use_no_function_whose_last_bit_differs_between_machines() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut read = 0;
    for part in ["search", "geometry", "cloth.rs"] {
        for path in sources(&src.join(part)) {
            let name = path.strip_prefix(&src).expect("below it").display().to_string();
            // Tests by themselves, and chords, whose lengths are those of kurbo's vectors.
            if name.ends_with("tests.rs") || name.ends_with("_properties.rs") || name.ends_with("chords.rs") {
                continue;
            }
            let source = std::fs::read_to_string(&path).expect("readable");
            assert_eq!(calls(&source), Vec::<String>::new(), "{name}: use libm, a root or a product");
            read += 1;
        }
    }
    assert!(read > 50, "{read} sources");
    assert_eq!(calls("let a = b.hypot(c);\n// d.sin(e)\nf64::powi(g, 2);"), ["hypot", "powi"]);
}
