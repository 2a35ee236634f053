//! Shops that are written to, and what is there afterwards.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use slatwright::report::folder;

use crate::common::dice::Dice;
use crate::floor_support::{ShopFolder, Tree, tree};

/// What a person sees of a plan folder: all but our own hidden files.
pub(crate) fn plan_in(folder: &Path) -> Tree {
    tree(folder, &|name| name.to_string_lossy().starts_with(".slatwright") || name == Path::new("notes.txt"))
}

/// A shop with two jobs whose plans differ in bytes and in files, and what those plans are.
pub(crate) struct TwoPlans {
    pub(crate) shop: ShopFolder,
    pub(crate) plans: [Tree; 2],
}

pub(crate) const JOBS: [&str; 2] = ["mine/small_press.toml", "mine/other_press.toml"];

impl TwoPlans {
    pub(crate) fn new() -> Self {
        let shop = ShopFolder::new();
        let first = shop.read(JOBS[0]);
        let other = first.replace("inside_width = \"30\"", "inside_width = \"34\"")
            + "\n[[cabinet]]\nname = \"chest\"\n\
            inside_width = \"26\"\ninside_depth = \"16\"\ninside_height = \"20\"\ndoors = \"left\"\nsetback = \"3/4\"\n\
            corner_radius = \"3\"\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n";
        shop.write(JOBS[1], &other);
        let plans = JOBS.map(|job| {
            shop.ok(&["plan", job, "--out", "known"]);
            plan_in(&shop.path("known"))
        });
        assert!(plans[0].len() < plans[1].len() && plans[0].values().all(|text| !text.is_empty()));
        fs::remove_dir_all(shop.path("known")).unwrap();
        Self { shop, plans }
    }

    /// Plans the first job into `out` and puts a file of somebody else's beside it.
    pub(crate) fn started(&self, out: &str) {
        self.shop.ok(&["plan", JOBS[0], "--out", out]);
        fs::write(self.shop.path(out).join("notes.txt"), "mine").unwrap();
    }

    pub(crate) fn spawn(&self, arguments: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_slatwright"))
            .current_dir(self.shop.home.path())
            .args(arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    /// Which of the two plans lies in the folder, whole.
    #[track_caller]
    pub(crate) fn which(&self, out: &Path) -> usize {
        let found = plan_in(out);
        self.plans.iter().position(|plan| *plan == found).unwrap_or_else(|| {
            let names: Vec<_> = found.keys().filter(|name| found.get(*name) != self.plans[0].get(*name)).collect();
            panic!("{} files, neither plan; not as in the first: {names:?}", found.len())
        })
    }

    /// Every file that is seen is whole, whichever plan it is of.
    #[track_caller]
    pub(crate) fn each_file_is_whole(&self, out: &Path) {
        let note = Path::new("UNFINISHED.txt");
        for (name, bytes) in plan_in(out).into_iter().filter(|(name, _)| name != note) {
            assert!(self.plans.iter().any(|plan| plan.get(&name) == Some(&bytes)), "{} is torn", name.display());
        }
    }

    /// Everything in the shop's folder but `out`.
    pub(crate) fn outside(&self, out: &str) -> Tree {
        tree(self.shop.home.path(), &|name| name == Path::new(out))
    }
}

/// A moment before `most` is over, the same every run.
pub(crate) fn moment(dice: &mut Dice, most: Duration) -> Duration {
    const PARTS: u64 = 1 << 20;
    most.mul_f64(dice.below(PARTS) as f64 / PARTS as f64)
}

/// Waits until `seen` holds or the child has ended, without sleeping: the moment is short.
pub(crate) fn wait_for(child: &mut Child, seen: impl Fn() -> bool) {
    while !seen() && child.try_wait().unwrap().is_none() {}
}

pub(crate) fn kill(mut child: Child) {
    let _ = child.kill();
    child.wait().unwrap();
}

/// Reads the folder as the shop floor does. A process that another test has just forked may hold our lock for a moment.
pub(crate) fn settled(out: &Path) {
    let begun = Instant::now();
    while let Err(error) = folder::read(out) {
        let busy = matches!(error, folder::FolderError::Busy(_)) && begun.elapsed() < Duration::from_secs(20);
        assert!(busy, "{error}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// A small job that takes boards off the rack, planned into `out`.
pub(crate) fn on_the_rack() -> ShopFolder {
    let strips = "[[strip]]\nname = \"edging\"\nspecies = \"cherry\"\nlength = 31\nwidth = 0.75\nthickness = 0.375\n\
                  quantity = 14\n";
    let shop = ShopFolder::small(strips, "on rack,cherry,4/4,7.25,96,3,,\nyard 6,cherry,4/4,6,96,,9.85,bf\n");
    let job = shop.read("mine/shop.toml");
    shop.write("mine/shop.toml", &format!("history = \"history.csv\"\n{job}"));
    shop.write("count.csv", &shop.filled(&["mine/job.toml", "--plan", "out"], |_, _, yields| yields / 6));
    shop
}
