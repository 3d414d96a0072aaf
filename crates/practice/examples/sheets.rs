//! Prints sheets to read at sight: `cargo run --release -p practice --example sheets -- LEVEL FIRST LAST`.

fn main() {
    let numbers: Vec<u32> = std::env::args().skip(1).map(|a| a.parse().expect("a number")).collect();
    let [level, first, last] = numbers[..] else { panic!("a level and two numbers") };
    for number in first..=last {
        println!("{}", practice::sight::sheet(level as u8, number).expect("a sheet").abc());
    }
}
