//! Broken files, one fault each.
use slatwright::files::{Sources, starter};

fn good() -> Sources {
    let [job, shop, boards, cloth] = starter();
    Sources::in_memory(job.name, job.text)
        .with(shop.name, shop.text)
        .with(boards.name, boards.text)
        .with(cloth.name, cloth.text)
}

#[test]
fn the_starter_job_is_read_as_it_stands() {
    let job = slatwright::job::parse(&good()).unwrap_or_else(|p| panic!("{p}"));
    for d in &job.defaults {
        println!("{} = {} ({})", d.key, d.value, d.reason);
    }
    println!("{job:#?}");
}
