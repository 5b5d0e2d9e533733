//! The fairs that come with the page.

/// A site file that is part of the page.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sample {
    pub(crate) id: &'static str,
    pub(crate) title: &'static str,
    pub(crate) json: &'static str,
}

/// The first one is what the page opens on.
pub(crate) const SAMPLES: [Sample; 3] = [
    Sample {
        id: "village-green",
        title: "Village green, in feet",
        json: include_str!("../../../sample-sites/village-green.json"),
    },
    Sample {
        id: "paved-yard",
        title: "Paved yard, in metres",
        json: include_str!("../../../sample-sites/paved-yard.json"),
    },
    Sample {
        id: "quillow-green",
        title: "Green levelled with rod and level",
        json: include_str!("../../../sample-sites/quillow-green.json"),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use tober::site::Site;

    #[test]
    fn every_sample_can_be_read() {
        for sample in SAMPLES {
            assert!(Site::read(sample.json).is_ok(), "{}", sample.id);
        }
    }
}
