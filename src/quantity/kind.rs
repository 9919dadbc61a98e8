//! The kinds of quantity, and what comes of multiplying and dividing them.

/// A kind of quantity as powers of the base kinds: length, mass, time, force, temperature, angle, hardness.
///
/// `ratio` marks a figure written with `%`: it has no dimension, yet `15 %` is not the count 0.15.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Kind {
    length: i8,
    mass: i8,
    time: i8,
    force: i8,
    temperature: i8,
    angle: i8,
    hardness: i8,
    ratio: bool,
    open: bool,
}

const NONE: Kind = Kind {
    length: 0,
    mass: 0,
    time: 0,
    force: 0,
    temperature: 0,
    angle: 0,
    hardness: 0,
    ratio: false,
    open: false,
};

impl Kind {
    /// A bare number: a count, or a coefficient.
    pub const NUMBER: Kind = NONE;
    /// A percentage, held as a fraction.
    pub const RATIO: Kind = Kind { ratio: true, ..NONE };
    /// A length, in mm.
    pub const LENGTH: Kind = Kind { length: 1, ..NONE };
    /// An area, in mm2.
    pub const AREA: Kind = Kind { length: 2, ..NONE };
    /// A volume, in mm3.
    pub const VOLUME: Kind = Kind { length: 3, ..NONE };
    /// A mass, in g.
    pub const MASS: Kind = Kind { mass: 1, ..NONE };
    /// A density, in g/mm3.
    pub const DENSITY: Kind = Kind { mass: 1, length: -3, ..NONE };
    /// A temperature, in °C.
    pub const TEMPERATURE: Kind = Kind { temperature: 1, ..NONE };
    /// A time, in minutes.
    pub const TIME: Kind = Kind { time: 1, ..NONE };
    /// A force, in kN.
    pub const FORCE: Kind = Kind { force: 1, ..NONE };
    /// An angle, in degrees.
    pub const ANGLE: Kind = Kind { angle: 1, ..NONE };

    /// A hardness, in HRC.
    pub const HARDNESS: Kind = Kind { hardness: 1, ..NONE };

    /// A `?` whose kind is not known yet: the place where it stands tells.
    pub const OPEN: Kind = Kind { open: true, ..NONE };

    /// Whether a sum or product may mix this kind with a bare number: only percentages and numbers do.
    #[must_use]
    pub fn is_plain(self) -> bool {
        Kind { ratio: false, ..self } == NONE
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
        let add = |a: i8, b: i8| a.checked_add(b.checked_mul(sign)?).filter(|p| p.abs() <= 9);
        let made = Kind {
            length: add(self.length, other.length)?,
            mass: add(self.mass, other.mass)?,
            time: add(self.time, other.time)?,
            force: add(self.force, other.force)?,
            temperature: add(self.temperature, other.temperature)?,
            angle: add(self.angle, other.angle)?,
            hardness: add(self.hardness, other.hardness)?,
            ratio: false,
            open: false,
        };
        // A share of a share, or twice a share, is a share again; anything else loses the mark.
        let ratio = made.is_plain()
            && self.is_plain()
            && other.is_plain()
            && if sign > 0 { self.ratio || other.ratio } else { self.ratio && !other.ratio };
        Some(Kind { ratio, ..made })
    }

    /// The kind in a smith's words, with its article: "a length".
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Kind::NUMBER => "a bare number",
            Kind::RATIO => "a percentage",
            Kind::LENGTH => "a length",
            Kind::AREA => "an area",
            Kind::VOLUME => "a volume",
            Kind::MASS => "a weight",
            Kind::DENSITY => "a density",
            Kind::TEMPERATURE => "a temperature",
            Kind::TIME => "a time",
            Kind::FORCE => "a force",
            Kind::ANGLE => "an angle",
            Kind::HARDNESS => "a hardness",
            Kind::OPEN => "an open question",
            _ => "a quantity of no everyday kind",
        }
    }

    /// A figure of this kind as one would write it, to show in a message.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Kind::NUMBER => "`3`",
            Kind::RATIO => "`15 %`",
            Kind::LENGTH => "`12 mm` or `1 1/2 in`",
            Kind::AREA => "`480 mm2`",
            Kind::VOLUME => "`60 cm3`",
            Kind::MASS => "`700 g` or `1 lb 8 oz`",
            Kind::DENSITY => "`7.85 g/cm3`",
            Kind::TEMPERATURE => "`1230 C` or `2250 F`",
            Kind::TIME => "`8 min`",
            Kind::FORCE => "`25 tonf` or `250 kN`",
            Kind::ANGLE => "`15 deg`",
            Kind::HARDNESS => "`59 HRC`",
            _ => "a figure with its unit",
        }
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
        let mut kind = Kind::LENGTH;
        for _ in 0..3 {
            match kind.times(kind) {
                Some(next) => kind = next,
                None => return,
            }
        }
        assert_eq!(kind.times(kind), None);
    }
}
