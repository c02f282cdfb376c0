/**
 * Cautions that belong beside a method, a finding or a report: they warn, they don't instruct.
 *
 * Law, local codes, the owner's rules and the judgement of licensed trades come first. No safety professional has
 * checked these words; they need that before they are printed on anything official.
 */

interface Caution {
  readonly id: string
  readonly title: string
  readonly text: string
}

/** What every report and every page of the method ends with. */
export const CAUTIONS_OF_REPORTS = [
  'These results describe the plant on the day of the test at the conditions stated; they are not an electrical, structural or water-quality inspection.',
  'Repairs, electrical work and work on the well are for licensed people under the rules of your place. Overload, unbalance, missing guards or backflow devices seen on the visit should be looked at soon.',
  'Figures of saving rest on the assumptions named beside them and carry the uncertainty shown.',
] as const

export const cautions = [
  {
    id: 'electrical-panel',
    title: 'Live electrical panels',
    text: 'Live panels kill. Voltages and currents inside an open panel are read only by persons qualified for it under the law of the place, with the protective equipment and the work permit that it asks for. If you are not one, time the utility meter from outside or leave the reading out. Wet ground, an open well house and storms make it worse.',
  },
  {
    id: 'arc-flash',
    title: 'Arc flash',
    text: 'A slipped probe or a failing breaker can cause an arc that burns at a distance. Labels on the panel state the hazard where a study was made; no label means unknown, not harmless. Do not stand in front of a starter while it is switched, do not open a door with a load running, do not defeat an interlock.',
  },
  {
    id: 'capacitors-and-drives',
    title: 'Capacitors and drives',
    text: 'Drives and capacitors stay charged after switching off. Waiting times on the label are least times. Measuring between drive and motor needs instruments made for it, and persons qualified to use them.',
  },
  {
    id: 'current-transformers',
    title: 'Current transformers',
    text: 'A current transformer whose secondary is opened under load makes a voltage that kills and burns. Nothing is taken off its terminals on a test visit; where an instrument has to be put in, it is done by persons qualified for it, with the circuit dead or through shorting links.',
  },
  {
    id: 'compressed-gas',
    title: 'Compressed air and bottles',
    text: 'An air line is filled with a hand pump, a small compressor or a bottle with a regulator made for it, to no more than line and gauge stand. Bottles are carried capped, stand tied, and are opened slowly; oxygen and fuel gases are never used. A hose under pressure that comes off whips: eyes are covered, and pressure is let off before anything is loosened.',
  },
  {
    id: 'lock-out',
    title: 'Stopped, locked, tried',
    text: 'Before anything is fitted to a pump, shaft or pipe that can move or be energised: stopped, locked and tagged by the one who works there, tried, stored pressure let off. A pump on automatic control, a pressure switch or a timer can start by itself; a column of falling water can spin it backwards, and starting it then can break the shaft.',
  },
  {
    id: 'rotating-shaft',
    title: 'Rotating shafts',
    text: 'Shafts, couplings, belts, right-angle gears and power take-offs catch sleeves, hair and cords. Guards stay on. A tachometer is used through the guard or by light; no reading is worth a hand near a shaft.',
  },
  {
    id: 'drilling-pressurised-pipe',
    title: 'Tapping pipe under pressure',
    text: 'A tapping is made by people who know the pipe: material, wall, pressure, lining, what is inside. Plastic pipe can shatter. The drill is made for it, with a valve in place, earthed, and the owner has agreed in writing. A pitot rod in a pipe under pressure can be thrown out: hold and lock it as its maker says, and do not stand in line with it. Asbestos-cement and lead-coated pipe are not drilled on a test visit.',
  },
  {
    id: 'pressure-and-hammer',
    title: 'Pressure and water hammer',
    text: 'Gauge hoses and caps let go. Open cocks slowly, never with the face over the gauge; do not close a valve fast on a running line. Air trapped in pipes is stored force.',
  },
  {
    id: 'chemigation',
    title: 'Fertiliser and pesticide in the water',
    text: 'If fertiliser or pesticide is injected at this plant, assume that the water, the taps and the surfaces carry it. Have injection off and the line flushed before a tap is opened; protective clothes as the label says. A missing or failed backflow device is reported to the owner at once: it endangers the well.',
  },
  {
    id: 'place-for-the-water',
    title: 'A place for the water',
    text: 'Water set free by a test washes out roads, drowns crops and may run to a neighbour or a stream. Agree on the place before the start; permits and water rights are the owner’s. Keep people away from the jet of an open pipe; it can move the pipe.',
  },
  {
    id: 'well-and-contamination',
    title: 'What goes into a well',
    text: 'What goes into a well goes into drinking water. Tapes, probes and air lines are cleaned and disinfected before and after each well, by the practice of the authority in charge; keep a log. Never lower anything into a well that served a contaminated site and then into another. Close the access after reading. Where a licence is needed to open or work on a well, only its holder does. Oil seen on the water is told to the owner.',
  },
  {
    id: 'well-head',
    title: 'Well heads, pits and vaults',
    text: 'A hanging probe can wrap around the column or cable; if it hangs, do not pull it hard and do not run the pump. Open casings and pits are falls. Pits and vaults may hold bad air or no oxygen: no entry without a confined-space procedure.',
  },
  {
    id: 'engine',
    title: 'Engines',
    text: 'Exhaust kills in closed rooms and burns outside them; run only with doors open and the pipe outdoors. Hot manifolds and fans stay dangerous after stopping. Wear hearing protection. Long hair and cords away from belts.',
  },
  {
    id: 'fuel',
    title: 'Fuel',
    text: 'Fuel lines are opened cold, with no flame and no running starter near, with a vessel that is earthed and made for it, and a way to catch spills. Gas lines and meters are opened by licensed people only; read the meter as it stands. Gas smelled: leave, warn, call, start nothing.',
  },
  {
    id: 'lifting-and-falls',
    title: 'Loads, ladders and open water',
    text: 'Discharge heads, motors and manhole covers are lifted by equipment with a known load, by trained people. No ladder on wet grass against a pipe. Suction ponds and canals drown: a second person, a line, and no reading that needs leaning over.',
  },
  {
    id: 'heat-cold-animals',
    title: 'Heat, cold and animals',
    text: 'Fields are hot, pump houses hold snakes, wasps and spiders; winter sites are ice. Drink, shade, gloves, a look before the hand. Somebody knows where you are and when you come back; no signal is a reason for a plan.',
  },
  {
    id: 'alone',
    title: 'Not alone',
    text: 'Electrical readings, tapping, work over water and confined places are not done alone.',
  },
  {
    id: 'noise-and-eyes',
    title: 'Ears and eyes',
    text: 'Ear and eye protection near running engines, jets and when drilling.',
  },
  {
    id: 'traffic',
    title: 'Traffic',
    text: 'Leave the vehicle where it can be seen and leave a way for machines; flow sections beside roads need a lookout.',
  },
] as const satisfies readonly Caution[]

export type CautionId = (typeof cautions)[number]['id']
