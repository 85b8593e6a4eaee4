//! The page and its drawings as the program writes them.

use crate::run::{GARMENT, SCAN, TAPE, file, folder, girthwise};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// A page that is sent by mail or kept on a phone stays under this.
const MOST_BYTES: usize = 1_000_000;

/// What a browser shows for text that was escaped.
fn unescaped(html: &str) -> String {
    let pairs = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&amp;", "&"),
    ];
    pairs
        .iter()
        .fold(html.to_owned(), |text, (from, to)| text.replace(from, to))
}

/// Names of the files of a folder, without their ending, which must be the same for all.
fn names(folder: &Path, ending: &str) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap());
    let name = |entry: fs::DirEntry| entry.file_name().into_string().unwrap();
    entries
        .map(|entry| name(entry).strip_suffix(ending).unwrap().to_owned())
        .collect()
}

/// In either unit: one small page that says what the other commands say, opened in that unit, and
/// each of its drawings as a file.
#[test]
fn a_page_and_its_drawings_are_written() {
    for (unit, other) in [("cm", "in"), ("in", "cm")] {
        let folder = folder(&format!("report-{unit}"));
        let (page, svg) = (folder.join("page.html"), folder.join("svg"));
        let args = ["--tape", TAPE, "--garment", GARMENT, "--show", unit];
        let out = [
            "--out",
            page.to_str().unwrap(),
            "--svg",
            svg.to_str().unwrap(),
        ];
        let said = girthwise([&["report", SCAN][..], &args, &out].concat()).well();
        assert!(said.contains("whoever has the file can see it"), "{said}");

        let html = fs::read_to_string(&page).unwrap();
        assert!(html.len() < MOST_BYTES, "{} bytes", html.len());
        assert!(html.contains(&format!("id=\"show-{unit}\" checked")));
        assert!(!html.contains(&format!("id=\"show-{other}\" checked")));
        let text = unescaped(&html);
        let told = girthwise([&["all", SCAN][..], &args].concat()).well();
        let plan = told.split_once("Steps, in this order:").unwrap().1;
        let steps: Vec<&str> = plan
            .lines()
            .skip(1)
            .take_while(|line| !line.is_empty())
            .collect();
        assert!(steps.len() > 5, "{plan}");
        for step in steps {
            assert!(text.contains(step.trim()), "{step}");
        }

        let drawings = names(&svg, ".svg");
        for name in [
            "front",
            "side",
            "back",
            "plan",
            "girth-curve",
            "left-and-right",
        ] {
            assert!(drawings.contains(name), "{name}: {drawings:?}");
        }
        assert!(drawings.contains("cut-bust-girth"), "{drawings:?}");
        for name in &drawings {
            assert!(html.contains(&format!("id=\"{name}\"")), "{name}");
            let drawing = fs::read_to_string(svg.join(format!("{name}.svg"))).unwrap();
            assert!(drawing.starts_with("<svg xmlns="), "{name}");
            // Both units stand side by side on the page alone.
            let tells = |unit: &str| {
                drawing.contains(&format!(" {unit}<")) || drawing.contains(&format!(" {unit} "))
            };
            assert!(tells(unit) && !tells(other), "{name} in {unit}");
        }
    }
}

/// The same names as the SVG files, each a PNG of the drawing's proportions.
#[cfg(feature = "pictures")]
#[test]
fn drawings_are_written_as_pictures() {
    let folder = folder("report-png");
    let [page, svg, png] = ["page.html", "svg", "png"].map(|name| folder.join(name));
    let [page, svg_name, png_name] = [&page, &svg, &png].map(|path| path.to_str().unwrap());
    girthwise([
        "report", SCAN, "--out", page, "--svg", svg_name, "--png", png_name,
    ])
    .well();
    assert_eq!(names(&svg, ".svg"), names(&png, ".png"));
    for name in names(&png, ".png") {
        let bytes = fs::read(png.join(format!("{name}.png"))).unwrap();
        assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"), "{name}");
        // Width and height stand in the first chunk of a PNG, 16 and 20 bytes in (ISO 15948).
        let number =
            |at: usize| f64::from(u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()));
        let drawing = fs::read_to_string(svg.join(format!("{name}.svg"))).unwrap();
        let size = |key: &str| -> f64 {
            let rest = drawing.split_once(&format!(" {key}=\"")).unwrap().1;
            rest.split_once('"').unwrap().0.parse().unwrap()
        };
        let (wide, high) = (number(16), number(20));
        assert!(wide > size("width"), "{name}");
        // A side that is no whole number of units is drawn as long as the next whole one.
        let shape = size("width") / size("height");
        let grown = shape / size("width").min(size("height"));
        assert!((wide / high - shape).abs() < grown, "{name}");
    }
}

/// Without tape and garment the page has no room for them and says nothing of them.
#[test]
fn a_page_of_a_scan_alone() {
    let page = folder("report-bare").join("page.html");
    girthwise(["report", SCAN, "--out", page.to_str().unwrap()]).well();
    let html = fs::read_to_string(&page).unwrap();
    assert!(html.contains("<h2>The body</h2>") && html.contains("\"plan\":null"));
    assert!(!html.contains("Scan against tape") && !html.contains("What to cut differently"));
}

/// What cannot be done is said with what to do, under the exit code of its kind, and leaves no page.
#[test]
fn reports_that_cannot_be_are_refused() {
    let folder = folder("report-refused");
    let page = folder.join("page.html");
    let out = page.to_str().unwrap();
    let sheet = file(
        &folder,
        "garment.toml",
        "name = \"Half a sheet\"\nunit = \"ells\"\n",
    );
    let text = file(&folder, "notes.txt", "no scan");
    let tape = file(
        &folder,
        "tape.csv",
        "measure,reading\nwaist girth,seventy\n",
    );
    let under_file = format!("{text}/page.html");
    for (args, code, word) in [
        (vec![SCAN], 2, "--out"),
        (vec![SCAN, "--out", out, "--show", "ells"], 2, "ells"),
        (
            vec![SCAN, "--out", out, "--pin", "waist=104"],
            2,
            "write 104 cm",
        ),
        (vec![SCAN, "--out", out, "--garment", &sheet], 1, "ells"),
        (
            vec![SCAN, "--out", out, "--garment", "no/such.toml"],
            3,
            "no/such.toml",
        ),
        (vec![SCAN, "--out", out, "--tape", &tape], 1, "seventy"),
        (vec![&text, "--out", out], 1, "the format is not known"),
        (vec!["no/such.ply", "--out", out], 3, "no/such.ply"),
        (vec![SCAN, "--out", &under_file], 3, "page.html"),
    ] {
        let said = girthwise([&["report"][..], &args].concat()).refusal(code);
        assert!(said.contains(word), "{word} is missing in: {said}");
        assert!(!page.exists(), "a page in spite of: {said}");
    }
    let said = girthwise(["report", SCAN, "--out", out, "--svg", &text]).refusal(3);
    assert!(said.contains("notes.txt"), "{said}");
}
