//! The one table of kinds, facts and units.

/// A kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the table's rows say what each means
pub enum Kind {
    Boat,
    Use,
    Place,
    Cable,
    Battery,
    Solar,
    Controller,
    Alternator,
    Charger,
    Converter,
    Inverter,
    Isolator,
    Switch,
    Selector,
    Relay,
    Fuse,
    Breaker,
    Shunt,
    Busbar,
    Panel,
    Joint,
    Diode,
    Load,
    Socket,
    Block,
    Bond,
    Multicore,
    Run,
    Case,
}

/// A fact. One key serves several kinds where the word is the same; a bare quantity's key is its
/// dimension (`Amps`, `Volts`); a choice of words has a key of its own (`Chemistry`, `Class`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the table's rows say what each means
pub enum Key {
    // boat
    System,
    Rules,
    Ambient,
    CableName,
    Drop,
    CriticalDrop,
    Hull,
    Fuel,
    // place
    EngineSpace,
    PetrolVapour,
    Openings,
    OpenAir,
    // cable
    Copper,
    Tinned,
    Insulation,
    Flexible,
    Stranded,
    Carries,
    // bare quantities
    Amps,
    Volts,
    Watts,
    Ohms,
    AmpHours,
    Daily,
    Percent,
    // battery
    Chemistry,
    Resistance,
    ShortCircuit,
    Usable,
    ChargeLimit,
    // solar: Series and Parallel are counts
    Voc,
    Isc,
    Vmp,
    Imp,
    Series,
    Parallel,
    // controller: Technology is mppt/pwm
    Technology,
    MaxInput,
    Efficiency,
    // alternator, charger, converter, inverter; Charges has an Arg only on an inverter; Out is [Count, Quantity]
    Earthed,
    FieldCut,
    Outputs,
    Out,
    Input,
    Output,
    Charges,
    Isolated,
    Peak,
    // switching; Positions is a list of Arg::Word("off"/"both") and Arg::Count
    TwoPole,
    NormallyOpen,
    Momentary,
    Automatic,
    Positions,
    Coil,
    Closes,
    Opens,
    NormallyClosed,
    // protection: Pattern is blade/strip/bolt-down/cartridge/class-t, Action is thermal/magnetic
    Pattern,
    Action,
    Breaks,
    RatedVolts,
    // bars, panels, joints: Polarity is positive/negative
    Polarity,
    Posts,
    Studs,
    Takes,
    Switched,
    Main,
    Returns,
    Poles,
    // load: Class is the class word; Starting is [A] or [A, s]; Spread is [] or [m]
    Class,
    Critical,
    Minimum,
    Starting,
    ShortTime,
    Spread,
    IgnitionProtected,
    // multicore
    Cores,
    Section,
    Length,
    // every part; In may stand several times on a multicore
    In,
    Like,
    Spare,
    // run
    BypassesIsolator,
}
