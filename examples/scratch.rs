use girthwise::Side;
use girthwise::landmark::*;
use girthwise::mesh::TriMesh;
use nalgebra::Point3;
fn read(path: &str) -> TriMesh {
    let b = std::fs::read(path).unwrap();
    let end = b.windows(11).position(|w| w == b"end_header\n").unwrap() + 11;
    let head = String::from_utf8_lossy(&b[..end]).to_string();
    let n = |k: &str| {
        head.lines()
            .find(|l| l.starts_with(k))
            .unwrap()
            .split(' ')
            .nth(2)
            .unwrap()
            .parse::<usize>()
            .unwrap()
    };
    let (nv, nf) = (n("element vertex"), n("element face"));
    let mut at = end;
    let mut p = vec![];
    let dbl = head.contains("double x");
    for _ in 0..nv {
        let mut q = [0.0; 3];
        for k in 0..3 {
            if dbl {
                q[k] = f64::from_le_bytes(b[at..at + 8].try_into().unwrap());
                at += 8
            } else {
                q[k] = f64::from(f32::from_le_bytes(b[at..at + 4].try_into().unwrap()));
                at += 4
            }
        }
        p.push(Point3::from(q));
    }
    let mut f = vec![];
    for _ in 0..nf {
        assert_eq!(b[at], 3);
        at += 1;
        let mut q = [0; 3];
        for k in 0..3 {
            q[k] = u32::from_le_bytes(b[at..at + 4].try_into().unwrap());
            at += 4
        }
        f.push(q);
    }
    TriMesh::new(p, f).unwrap()
}
fn main() {
    for path in std::env::args().skip(1) {
        let mesh = read(&path);
        let t: serde_json::Value = serde_json::from_str(
            &std::fs::read_to_string(path.replace(".ply", ".truth.json")).unwrap(),
        )
        .unwrap();
        let st = t["body"]["stature"].as_f64().unwrap();
        let t0 = std::time::Instant::now();
        let survey = Survey::new(&mesh, st, 1.0);
        let t1 = t0.elapsed();
        let marks = Landmarks::find(&survey);
        println!(
            "{} S {:.0} {:?} {:?} touched {:?} finds {:?}",
            path,
            st,
            t1,
            t0.elapsed(),
            survey.parts.touched_mm,
            survey.parts.findings
        );
        let lvl = |k: &str| t["levels"][k]["height"].as_f64();
        let pt = |k: &str| t["landmarks"][k]["point"][2].as_f64();
        let h = |k, s| {
            marks
                .get(k, s)
                .map(|l| (l.height_mm(), l.sd_mm, l.confidence))
        };
        let show = |name: &str, truth: Option<f64>, k, s| match (truth, h(k, s)) {
            (Some(t), Ok((v, sd, c))) => println!(
                "  {name:16} {t:8.1} {v:8.1}  {:+6.1} sd {sd:.1} {c:?}",
                v - t
            ),
            (t, Ok((v, sd, c))) => println!("  {name:16} {t:?} {v:8.1} sd {sd:.1} {c:?}"),
            (t, Err(e)) => println!("  {name:16} {t:?} MISSING {}", e.reason),
        };
        use LandmarkKey::*;
        show("crotch", lvl("crotch"), Crotch, None);
        show("hip", lvl("hip"), Hip, None);
        show("waist", lvl("waist_narrowest"), WaistNarrowest, None);
        println!(
            "     band {} clear {}",
            t["levels"]["waist_narrowest"]["within_half_percent"],
            t["levels"]["waist_narrowest"]["clear"]
        );
        show("under_bust", lvl("under_bust"), UnderBust, None);
        for s in Side::BOTH {
            let c = if s == Side::Left { "L" } else { "R" };
            show(
                &format!("bust {c}"),
                pt(&format!("bust_point_{c}")),
                BustPoint,
                Some(s),
            );
            show(
                &format!("armpit {c}"),
                lvl(&format!("armpit_{c}")),
                Armpit,
                Some(s),
            );
            show(
                &format!("sideneck {c}"),
                pt(&format!("side_neck_point_{c}")),
                SideNeckPoint,
                Some(s),
            );
            show(
                &format!("shoulder {c}"),
                pt(&format!("shoulder_point_{c}")),
                ShoulderPoint,
                Some(s),
            );
            if let (Ok(a), Ok(b)) = (
                marks.get(SideNeckPoint, Some(s)),
                marks.get(ShoulderPoint, Some(s)),
            ) {
                println!(
                    "       neck x {:.0} shoulder x {:.0} truth {} {}",
                    a.point_mm[0],
                    b.point_mm[0],
                    t["landmarks"][format!("side_neck_point_{c}")]["point"][0],
                    t["landmarks"][format!("shoulder_point_{c}")]["point"][0]
                );
            }
            show(
                &format!("knee {c}"),
                lvl(&format!("knee_{c}")),
                Knee,
                Some(s),
            );
            show(
                &format!("calf {c}"),
                t["girths"][format!("calf_{c}")]["height"].as_f64(),
                Calf,
                Some(s),
            );
            show(
                &format!("ankle {c}"),
                t["girths"][format!("ankle_{c}")]["height"].as_f64(),
                Ankle,
                Some(s),
            );
            show(
                &format!("elbow {c}"),
                pt(&format!("elbow_joint_{c}")),
                Elbow,
                Some(s),
            );
            show(
                &format!("wrist {c}"),
                pt(&format!("wrist_joint_{c}")),
                Wrist,
                Some(s),
            );
        }
        show("back neck", pt("back_neck_point"), BackNeckPoint, None);
        girths(&survey, &marks, &t);
    }
}
fn girths(survey: &Survey, marks: &Landmarks, t: &serde_json::Value) {
    use girthwise::measure::*;
    let t0 = std::time::Instant::now();
    let set = measure_body(survey, marks);
    println!("  measured in {:?}", t0.elapsed());
    let rows = [
        ("bust_girth", "bust", "taut", ""),
        ("waist_narrowest_girth", "waist_narrowest", "taut", ""),
        ("high_hip_girth", "high_hip", "taut", ""),
        ("hip_girth", "hip", "taut", ""),
        ("under_bust_girth", "under_bust", "taut", ""),
        ("neck_girth", "neck_least", "taut", ""),
        ("bust_girth_surface", "bust", "skin", ""),
        ("hip_girth_surface", "hip", "skin", ""),
        ("bust_depth", "bust", "depth", ""),
        ("hip_breadth", "hip", "breadth", ""),
        ("upper_arm_girth", "upper_arm_mid", "taut", "s"),
        ("wrist_girth", "wrist", "taut", "s"),
        ("knee_girth", "knee", "taut", "s"),
        ("calf_girth", "calf", "taut", "s"),
        ("ankle_girth", "ankle", "taut", "s"),
        ("thigh_girth", "thigh", "taut", "s"),
        ("bust_half_girth", "bust", "half_taut", "h"),
        (
            "waist_narrowest_half_girth",
            "waist_narrowest",
            "half_taut",
            "h",
        ),
        ("hip_half_girth", "hip", "half_taut", "h"),
        ("shoulder_length", "shoulder_length", "", "l"),
        ("shoulder_slope", "shoulder_slope_deg", "", "l"),
        (
            "neck_to_bust_length",
            "side_neck_to_bust_point_skin",
            "",
            "l",
        ),
        ("back_waist_length", "back_neck_to_waist_skin", "", "l0"),
    ];
    for (key, tk, f, kind) in rows {
        let key = Key::from_text(key).unwrap();
        let sides: Vec<Option<Side>> = if key.definition().paired {
            vec![Some(Side::Left), Some(Side::Right)]
        } else {
            vec![None]
        };
        for side in sides {
            let c = match side {
                Some(Side::Left) => "_L",
                Some(Side::Right) => "_R",
                None => "",
            };
            let truth = match kind {
                "" => t["girths"][tk][f].as_f64(),
                "s" => t["girths"][format!("{tk}{c}")][f].as_f64(),
                "h" => t["girths"][tk][format!("{f}{c}")].as_f64(),
                "l" => t["lengths"][format!("{tk}{c}")].as_f64(),
                _ => t["lengths"][tk].as_f64(),
            };
            match (set.get(MeasureId::new(key, side)), truth) {
                (Some(m), Some(t)) => println!(
                    "  {}{c} {t:.1} {:.1} {:+.1} sd {:.1}",
                    key.definition().text,
                    m.value,
                    m.value - t,
                    m.spread.sd
                ),
                (m, t) => println!(
                    "  {}{c} {:?} truth {t:?}",
                    key.definition().text,
                    m.map(|m| m.value)
                ),
            }
        }
    }
    for w in set.withheld() {
        println!("  WITHHELD {} {}", w.id, w.reason)
    }
}
