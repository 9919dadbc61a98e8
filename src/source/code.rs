//! The codes of all findings: name, kind, and the subject under which the manual has its page.

use std::fmt;

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The build can go on, and a smith should know.
    Warning,
    /// The recipe cannot be worked as written, or misses its target.
    Fault,
}

macro_rules! codes {
    ($($page:ident { $($kind:ident $code:ident $name:literal,)* })*) => {
        /// What a finding is, by a stable name that is shown as `heatbook::name`.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $($(#[doc = concat!("`", $name, "`")] $code,)*)* }

        impl Code {
            /// Every code, by subject.
            pub const ALL: &[Code] = &[$($(Code::$code,)*)*];

            /// Its name, lower case with underscores.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $($(Code::$code => $name,)*)* }
            }

            /// Fault or warning.
            #[must_use]
            pub const fn severity(self) -> Severity {
                match self { $($(Code::$code => Severity::$kind,)*)* }
            }

            /// The subject of its page: a file of `manual/codes`.
            #[must_use]
            pub const fn page(self) -> &'static str {
                match self { $($(Code::$code => stringify!($page),)*)* }
            }
        }
    };
}

codes! {
    lines {
        Fault Syntax "syntax",
        Fault Unfinished "unfinished",
        Fault UnknownVerb "unknown_verb",
        Fault UnknownBlock "unknown_block",
        Fault NoBlock "no_block",
        Fault OpenBlock "open_block",
        Fault StrayBrace "stray_brace",
        Fault BlockInBlock "block_in_block",
        Fault OpenText "open_text",
        Fault DanglingComma "dangling_comma",
        Fault LineTooLong "line_too_long",
        Fault TooLong "too_long",
        Fault TooDeep "too_deep",
        Fault UnknownEntry "unknown_entry",
        Fault ReservedName "reserved_name",
        Fault VerbAsName "verb_as_name",
        Warning UnusedAllow "unused_allow",
    }
    figures {
        Fault BareSize "bare_size",
        Fault DecimalComma "decimal_comma",
        Fault TwoFigures "two_figures",
        Fault RefusedUnit "refused_unit",
        Fault UnknownUnit "unknown_unit",
        Fault UnknownFigure "unknown_figure",
        Fault LetTwice "let_twice",
        Fault WrongKind "wrong_kind",
        Fault UnlikeKinds "unlike_kinds",
        Fault TemperatureDifference "temperature_difference",
        Fault TemperatureProduct "temperature_product",
        Fault NoKind "no_kind",
        Fault NoFigure "no_figure",
        Fault NotWhole "not_whole",
        Fault Negative "negative",
        Fault NoSize "no_size",
        Fault OutOfRange "out_of_range",
        Fault RangeBackwards "range_backwards",
        Fault RangeAsked "range_asked",
        Fault RangeEmpty "range_empty",
        Fault OpenQuestion "open_question",
        Fault NoAnswer "no_answer",
    }
    names {
        Fault UnknownName "unknown_name",
        Fault NameTaken "name_taken",
        Fault Spent "spent",
        Fault NoneLeft "none_left",
        Fault UnknownPart "unknown_part",
    }
    steels {
        Fault UnknownSteel "unknown_steel",
        Fault SteelTaken "steel_taken",
        Fault Content "content",
        Fault TooManySteels "too_many_steels",
    }
    recipes {
        Fault GiveOutside "give_outside",
        Fault GiveTwice "give_twice",
        Fault NoGive "no_give",
        Fault UnknownRecipe "unknown_recipe",
        Fault RecipeInItself "recipe_in_itself",
        Fault RecipeTwice "recipe_twice",
        Fault ParamMissing "param_missing",
        Fault ParamTwice "param_twice",
        Fault UnknownParam "unknown_param",
        Fault RepeatAsked "repeat_asked",
        Fault TooManySteps "too_many_steps",
        Fault UseInside "use_inside",
        Fault UseMissing "use_missing",
        Fault UseOutside "use_outside",
        Fault UseCycle "use_cycle",
        Fault TooManyFiles "too_many_files",
    }
    clauses {
        Fault ClauseTwice "clause_twice",
        Fault ClauseUnknown "clause_unknown",
        Fault SizeTwice "size_twice",
    }
    stock {
        Fault StockSizes "stock_sizes",
        Fault LayeredHow "layered_how",
        Warning SizeOrder "size_order",
        Warning StockLarge "stock_large",
        Fault TooFewBars "too_few_bars",
        Fault TooManyBars "too_many_bars",
        Fault UnevenAlternate "uneven_alternate",
        Fault UnevenShares "uneven_shares",
        Fault UnequalBars "unequal_bars",
        Warning TallStack "tall_stack",
        Fault TooMuch "too_much",
        Fault LooseStack "loose_stack",
    }
    weld {
        Fault FluxAndDry "flux_and_dry",
        Fault WeldAskedTwice "weld_asked_twice",
        Fault ThinningOutOfRange "thinning_out_of_range",
        Fault WeldWrongWay "weld_wrong_way",
        Warning ColdWeld "cold_weld",
        Warning LightWeld "light_weld",
        Warning OpenChromium "open_chromium",
        Fault JoinHow "join_how",
        Fault JoinCounts "join_counts",
    }
    shape {
        Fault AlreadySmaller "already_smaller",
        Fault AlreadyLonger "already_longer",
        Fault OutOfReach "out_of_reach",
        Fault DrawNothing "draw_nothing",
        Fault DrawTwiceAsked "draw_twice_asked",
        Fault DrawWideAlone "draw_wide_alone",
        Fault TooNarrow "too_narrow",
        Warning MuchEdging "much_edging",
        Fault NotEnoughSteel "not_enough_steel",
        Fault TooMuchSteel "too_much_steel",
        Fault SpreadAgainstAim "spread_against_aim",
        Fault AlreadyWider "already_wider",
        Fault SpreadWidth "spread_width",
        Fault EdgeWidth "edge_width",
        Fault UpsetLength "upset_length",
        Fault Buckles "buckles",
        Warning MayBuckle "may_buckle",
    }
    blade {
        Fault Shaped "shaped",
        Fault ForgedOrGround "forged_or_ground",
        Fault GroundCold "ground_cold",
        Fault TaperWhat "taper_what",
        Fault BevelHow "bevel_how",
        Fault BevelAngle "bevel_angle",
        Fault BevelForged "bevel_forged",
        Fault BevelRound "bevel_round",
        Fault HollowThrough "hollow_through",
        Warning ThinBehindEdge "thin_behind_edge",
        Fault FullerHow "fuller_how",
        Fault FullerRoom "fuller_room",
        Fault FullerThrough "fuller_through",
        Warning FullerThin "fuller_thin",
        Warning FullerCore "fuller_core",
        Fault PartOff "part_off",
        Fault ProfileHow "profile_how",
        Fault ProfileBackwards "profile_backwards",
        Fault ProfilePoint "profile_point",
        Warning OutlineBeyondSteel "outline_beyond_steel",
        Fault TangHow "tang_how",
        Warning TangWaste "tang_waste",
        Fault TwistHow "twist_how",
        Warning TwistFlat "twist_flat",
        Warning TwistCorners "twist_corners",
        Warning TightTwist "tight_twist",
        Fault TwistShears "twist_shears",
        Fault GrindBevels "grind_bevels",
        Fault ZoneMissing "zone_missing",
        Fault BehindEdge "behind_edge",
        Fault Allowance "allowance",
        Fault TooSteep "too_steep",
        Fault BevelTall "bevel_tall",
        Fault OfTheWhole "of_the_whole",
    }
    pattern {
        Fault HollowsHow "hollows_how",
        Fault HollowsPitch "hollows_pitch",
        Fault CutThrough "cut_through",
        Fault OpenHollows "open_hollows",
        Fault PressFlat "press_flat",
        Warning WallsFold "walls_fold",
        Warning HollowsStay "hollows_stay",
        Fault SplitHow "split_how",
        Fault TileHow "tile_how",
        Fault OpenHow "open_how",
        Fault BowHow "bow_how",
        Fault WrapHow "wrap_how",
        Fault BundleHow "bundle_how",
        Fault CanHow "can_how",
        Warning CanDoubt "can_doubt",
        Fault UnevenHow "uneven_how",
        Fault PatternAsked "pattern_asked",
        Warning ThinTiles "thin_tiles",
        Warning ThickWeb "thick_web",
        Warning RungsStretch "rungs_stretch",
        Warning HangsOnFace "hangs_on_face",
    }
    fire {
        Fault Burnt "burnt",
        Warning Burning "burning",
        Warning HotForSteel "hot_for_steel",
        Warning ColdMiddle "cold_middle",
        Warning FireEats "fire_eats",
        Warning ColdForging "cold_forging",
        Fault BurntAway "burnt_away",
        Warning HeavyScale "heavy_scale",
        Warning SkinPassed "skin_passed",
        Fault ShareOutOfRange "share_out_of_range",
    }
    machine {
        Warning WeakPress "weak_press",
        Warning FewHeats "few_heats",
        Warning MuchAtOnce "much_at_once",
        Warning OutsideLaw "outside_law",
        Warning TooTall "too_tall",
        Warning ShortToHold "short_to_hold",
        Fault TooShortToHold "too_short_to_hold",
        Fault SpreadOutOfRange "spread_out_of_range",
    }
    cut {
        Fault CutHow "cut_how",
        Fault CutLength "cut_length",
        Fault CutNoNames "cut_no_names",
        Fault CutTwoNames "cut_two_names",
        Fault NothingToKeep "nothing_to_keep",
        Fault TooShortToCut "too_short_to_cut",
        Fault UnlikePieces "unlike_pieces",
        Warning RoughEnds "rough_ends",
        Warning Barrelled "barrelled",
        Fault GroundAway "ground_away",
        Fault GrindNothing "grind_nothing",
        Fault GrindAskedTwice "grind_asked_twice",
        Fault GrindSize "grind_size",
    }
    hardness {
        Fault HardenHow "harden_how",
        Fault TemperHow "temper_how",
        Fault NoTemper "no_temper",
        Warning TemperSoft "temper_soft",
        Warning SlowQuench "slow_quench",
        Warning HarshQuench "harsh_quench",
        Warning DataSheet "data_sheet",
        Warning TooColdToTurn "too_cold_to_turn",
        Warning Overheated "overheated",
        Fault HardnessUntold "hardness_untold",
        Warning HangsOnHardness "hangs_on_hardness",
        Warning SoftMiddle "soft_middle",
    }
    measure {
        Fault MeasureWhat "measure_what",
        Fault MeasuredTwice "measured_twice",
        Fault ImpossibleMeasure "impossible_measure",
        Warning MoreSteel "more_steel",
        Warning SlippedDigits "slipped_digits",
        Warning SizesAgainstWeight "sizes_against_weight",
        Fault LogInRecipe "log_in_recipe",
        Fault NotInLog "not_in_log",
        Fault TwoBuilds "two_builds",
        Warning NoSuchDay "no_such_day",
        Fault UnknownStep "unknown_step",
    }
    targets {
        Fault TargetMissed "target_missed",
        Fault TargetLoose "target_loose",
        Fault Unexpected "unexpected",
        Fault BeyondBar "beyond_bar",
        Fault ZoneBackwards "zone_backwards",
        Fault TwoZones "two_zones",
        Warning HangsOnSpread "hangs_on_spread",
        Warning PassesHot "passes_hot",
    }
    shop {
        Fault EntryTwice "entry_twice",
        Fault TwoShops "two_shops",
        Fault TwoCurrencies "two_currencies",
        Fault NotInShop "not_in_shop",
    }
}

impl Code {
    /// The code of a name, perhaps with the `heatbook::` that messages show before it.
    #[must_use]
    pub fn of(name: &str) -> Option<Code> {
        let name = name.strip_prefix("heatbook::").unwrap_or(name);
        Code::ALL.iter().copied().find(|code| code.name() == name)
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
