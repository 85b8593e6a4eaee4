//! Pattern pieces measured flat, and the finished measures that follow.

use crate::trial::{close, sheet};
use girthwise::fit::{Level, Part, Seams, read_garment};

const PIECES: &str = r#"
name = "Trial top"
unit = "cm"
sizes = ["38", "40"]
waist_line = "none"
stretch = 15
[body]
bust = [88, 92]
[seams]
bust = { side = 2, back = 1 }
[[piece]]
name = "front, on the fold"
half = "front"
cut = 2
bust = [23.5, 24.5]
[[piece]]
name = "back"
half = "back"
cut = 2
bust = [23, 24]
[[piece]]
name = "sleeve"
cut = 2
biceps = [33, 34]
"#;

/// 2·23.5 + 2·23 = 93 cm and 2·24.5 + 2·24 = 97 cm round; a sleeve cut for each arm is one arm's.
#[test]
fn flat_pieces_add_up_to_the_garment() {
    let garment = sheet(PIECES);
    let round = |size| garment.finished_girth(Level::Bust, size).unwrap().mm();
    close(round(0), 930.0);
    close(round(1), 970.0);
    let [front, back] = garment.halves(Level::Bust, 1).unwrap();
    close(front.mm(), 490.0);
    close(back.mm(), 480.0);
    close(garment.part(Part::Biceps, 0).unwrap().mm(), 330.0);
    assert_eq!(garment.stretch, Some(15.0));
    // Two side seams have two edges in front; the back seam has none.
    assert_eq!(garment.edges(Level::Bust), 6);
    close(garment.seams.bust.front_share(), 2.0 / 6.0);
    assert_eq!(Seams::counted(3).edges(), 6);
}

#[test]
fn pieces_that_disagree_with_the_printed_girth_are_told() {
    let near = PIECES.replace("[seams]", "[finished]\nbust = [93.5, 97]\n[seams]");
    close(
        sheet(&near).finished_girth(Level::Bust, 0).unwrap().mm(),
        935.0,
    );
    let far = PIECES.replace("[seams]", "[finished]\nbust = [93, 103]\n[seams]");
    let told = read_garment("top.toml", &far).unwrap_err().to_string();
    assert!(told.contains("finished.bust: is given twice"), "{told}");
    assert!(
        told.contains("1030.0 mm is given, the pieces come to 970.0 mm"),
        "{told}"
    );
}

#[test]
fn a_front_without_its_back_is_told() {
    let text = PIECES.replace("bust = [23, 24]", "");
    let told = read_garment("top.toml", &text).unwrap_err().to_string();
    assert!(told.contains("back.bust"), "{told}");
    let uncut = PIECES.replace("cut = 2\nbust = [23, 24]", "bust = [23, 24]");
    let told = read_garment("top.toml", &uncut).unwrap_err().to_string();
    assert!(told.contains("piece 2.cut"), "{told}");
}
