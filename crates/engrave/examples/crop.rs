use resvg::{tiny_skia, usvg};
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let svg = std::fs::read_to_string(&a[1]).unwrap();
    let v: Vec<f32> = a[3..8].iter().map(|s| s.parse().unwrap()).collect(); // x y w h (mm) dpi
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
    let s = v[4] / 96.0;
    let mm = v[4] / 25.4;
    let mut p = tiny_skia::Pixmap::new((v[2] * mm) as u32, (v[3] * mm) as u32).unwrap();
    p.fill(tiny_skia::Color::WHITE);
    resvg::render(&tree, tiny_skia::Transform::from_scale(s, s).post_translate(-v[0] * mm, -v[1] * mm), &mut p.as_mut());
    p.save_png(&a[2]).unwrap();
}
