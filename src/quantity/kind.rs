//! The kinds of quantity, and what comes of multiplying and dividing them.

/// A kind of quantity as powers of the base kinds: length, mass, time, force, temperature, angle, hardness.
///
/// `ratio` marks a figure written with `%`: it has no dimension, yet `15 %` is not the count 0.15.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Kind {
    powers: [i8; 7],
    ratio: bool,
    open: bool,
}

/// A kind of these powers, in the order in which [`Kind`] names them.
const fn of(powers: [i8; 7]) -> Kind {
    Kind { powers, ratio: false, open: false }
}

impl Kind {
    /// A bare number: a count, or a coefficient.
    pub const NUMBER: Kind = of([0; 7]);
    /// A percentage, held as a fraction.
    pub const RATIO: Kind = Kind { ratio: true, ..Kind::NUMBER };
    /// A length, in mm.
    pub const LENGTH: Kind = of([1, 0, 0, 0, 0, 0, 0]);
    /// An area, in mm2.
    pub const AREA: Kind = of([2, 0, 0, 0, 0, 0, 0]);
    /// A volume, in mm3.
    pub const VOLUME: Kind = of([3, 0, 0, 0, 0, 0, 0]);
    /// A mass, in g.
    pub const MASS: Kind = of([0, 1, 0, 0, 0, 0, 0]);
    /// A density, in g/mm3.
    pub const DENSITY: Kind = of([-3, 1, 0, 0, 0, 0, 0]);
    /// A temperature, in °C.
    pub const TEMPERATURE: Kind = of([0, 0, 0, 0, 1, 0, 0]);
    /// A time, in minutes.
    pub const TIME: Kind = of([0, 0, 1, 0, 0, 0, 0]);
    /// A force, in kN.
    pub const FORCE: Kind = of([0, 0, 0, 1, 0, 0, 0]);
    /// An angle, in degrees.
    pub const ANGLE: Kind = of([0, 0, 0, 0, 0, 1, 0]);

    /// A hardness, in HRC.
    pub const HARDNESS: Kind = of([0, 0, 0, 0, 0, 0, 1]);

    /// A `?` whose kind is not known yet: the place where it stands tells.
    pub const OPEN: Kind = Kind { open: true, ..Kind::NUMBER };

    /// Whether a sum or product may mix this kind with a bare number: only percentages and numbers do.
    #[must_use]
    pub fn is_plain(self) -> bool {
        Kind { ratio: false, ..self } == Kind::NUMBER
    }

    /// The kind of a product, or `None` where the powers run away.
    #[must_use]
    pub fn times(self, other: Kind) -> Option<Kind> {
        self.combine(other, 1)
    }

    /// The kind of a quotient, or `None` where the powers run away.
    #[must_use]
    pub fn over(self, other: Kind) -> Option<Kind> {
        self.combine(other, -1)
    }

    fn combine(self, other: Kind, sign: i8) -> Option<Kind> {
        let mut made = Kind::NUMBER;
        for ((power, a), b) in made.powers.iter_mut().zip(self.powers).zip(other.powers) {
            *power = a.checked_add(b.checked_mul(sign)?).filter(|p| p.abs() <= 9)?;
        }
        // A share of a share, or twice a share, is a share again; anything else loses the mark.
        let ratio = made.is_plain()
            && self.is_plain()
            && other.is_plain()
            && if sign > 0 { self.ratio || other.ratio } else { self.ratio && !other.ratio };
        Some(Kind { ratio, ..made })
    }

    /// The kind in a smith's words, and a figure of it.
    fn told(self) -> (&'static str, &'static str) {
        match self {
            Kind::NUMBER => ("a bare number", "`3`"),
            Kind::RATIO => ("a percentage", "`15 %`"),
            Kind::LENGTH => ("a length", "`12 mm`"),
            Kind::AREA => ("an area", "`480 mm2`"),
            Kind::VOLUME => ("a volume", "`60 cm3`"),
            Kind::MASS => ("a weight", "`700 g`"),
            Kind::DENSITY => ("a density", "`7.85 g/cm3`"),
            Kind::TEMPERATURE => ("a temperature", "`1230 C`"),
            Kind::TIME => ("a time", "`8 min`"),
            Kind::FORCE => ("a force", "`25 tonf`"),
            Kind::ANGLE => ("an angle", "`15 deg`"),
            Kind::HARDNESS => ("a hardness", "`59 HRC`"),
            Kind::OPEN => ("an open question", "a figure with its unit"),
            _ => ("a quantity of no everyday kind", "a figure with its unit"),
        }
    }

    /// The kind in a smith's words, with its article: "a length".
    #[must_use]
    pub fn name(self) -> &'static str {
        self.told().0
    }

    /// A figure of this kind as one would write it, to show in a message.
    #[must_use]
    pub fn example(self) -> &'static str {
        self.told().1
    }
}

/// A marker type for one kind, so that a slot of lengths cannot be handed a weight.
pub trait KindOf: Copy {
    /// The kind that the marker stands for.
    const KIND: Kind;
    /// Whether only whole numbers will do.
    const WHOLE: bool = false;
}

macro_rules! markers {
    ($($(#[$doc:meta])* $name:ident = $kind:ident $(, whole = $whole:literal)?;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub struct $name;
        impl KindOf for $name { const KIND: Kind = Kind::$kind; $(const WHOLE: bool = $whole;)? }
    )*};
}

markers! {
    /// Marks a slot of lengths, mm.
    Length = LENGTH;
    /// Marks a slot of weights, g.
    Mass = MASS;
    /// Marks a slot of temperatures, °C.
    Temperature = TEMPERATURE;
    /// Marks a slot of times, min.
    Time = TIME;
    /// Marks a slot of forces, kN.
    Force = FORCE;
    /// Marks a slot of angles, degrees.
    Angle = ANGLE;
    /// Marks a slot of percentages, as fractions.
    Ratio = RATIO;
    /// Marks a slot of coefficients.
    Number = NUMBER;
    /// Marks a slot of whole numbers.
    Count = NUMBER, whole = true;
}

#[cfg(test)]
mod tests {
    use super::Kind;

    #[test]
    fn products_and_quotients_have_their_kind() {
        assert_eq!(Kind::LENGTH.times(Kind::LENGTH), Some(Kind::AREA));
        assert_eq!(Kind::AREA.times(Kind::LENGTH), Some(Kind::VOLUME));
        assert_eq!(Kind::MASS.over(Kind::VOLUME), Some(Kind::DENSITY));
        assert_eq!(Kind::LENGTH.over(Kind::LENGTH), Some(Kind::NUMBER));
        assert_eq!(Kind::LENGTH.times(Kind::RATIO), Some(Kind::LENGTH));
        assert_eq!(Kind::RATIO.times(Kind::NUMBER), Some(Kind::RATIO));
        assert_eq!(Kind::RATIO.over(Kind::RATIO), Some(Kind::NUMBER));
    }

    #[test]
    fn runaway_powers_have_no_kind() {
        let eighth = (0..3).try_fold(Kind::LENGTH, |kind, _| kind.times(kind));
        assert_eq!(eighth.and_then(|kind| kind.times(kind)), None);
    }
}
