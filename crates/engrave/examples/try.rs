fn main() {
    let a: Vec<String> = std::env::args().collect();
    let e = engrave::Engraver::start();
    let text = std::fs::read_to_string(&a[1]).unwrap();
    let mut layout = engrave::PageLayout::default();
    if let Some(h) = a.get(3) {
        layout.staff = engrave::StaffHeight::millimetres(h.parse().unwrap());
        layout.smallest_staff = layout.staff;
    }
    let pages = e.pages(&text, &layout).unwrap();
    std::fs::write(&a[2], pages.png(1, 110).unwrap()).unwrap();
}
