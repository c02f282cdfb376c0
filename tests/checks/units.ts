/** Unit factors. */
import type { Dimension } from '@liftledger/calc'
import { type Check, convert, formula, type Source, si } from './check.ts'

const sp811 = (address: string, place = 'appendix B.8'): Source => ({
  publication: {
    publisher: 'NIST',
    document: 'Special Publication 811, Guide for the Use of the SI',
    place,
    year: 2008,
  },
  basis: 'looked up',
  address,
})
const LIBRARY_A =
  'https://github.com/Systems-Modeling/SysML-v2-Release/blob/060efa31fb8c0b09867fab6024ea6245f7359842/sysml.library/Domain%20Libraries/Quantities%20and%20Units/USCustomaryUnits.sysml'
const LIBRARY_B =
  'https://github.com/pjazdzyk/unitility/blob/c727442d471e6ec44d728616768e876e7d121cd8/unitility-core/src/test/java/com/synerset/unitility/unitsystem/definitions/GoldenTable.java'
const quotedB8A = sp811(LIBRARY_A)
const quotedB8B = sp811(LIBRARY_B)
const quotedB9 = sp811('a public source text that quotes the pressure list of the appendix', 'appendix B.9')
const quotedPower = sp811('a public source text that quotes the power list of the appendix', 'appendix B.9')
const UNIT_LIST = 'https://ru.scribd.com/document/372231054/Conversion-Factors'

const definitions: Source = {
  publication: {
    publisher: 'NIST',
    document: 'Handbook 44 and Special Publication 811, definitions',
    place: 'inch, pound, US gallon, standard gravity',
    year: 2008,
  },
  basis: 'derived',
}
const looked = (publisher: string, document: string, place: string, address: string, year?: number): Source => ({
  publication: { publisher, document, place, ...(year === undefined ? {} : { year }) },
  basis: 'looked up',
  address,
})
const unitList = looked('public unit list', 'Unit conversion factors', 'volume, power', UNIT_LIST)
const irrigationToday = looked(
  'Irrigation Association',
  'Irrigation Today, The cost to move water',
  'text',
  'https://irrigationtoday.org/features/the-cot-to-move-water/',
)
const florida = looked(
  'Florida Geological Survey',
  'Special Publication 31',
  'table 1, conversion factors',
  'https://ufdcimages.uflib.ufl.edu/UF/00/00/04/59/00001/SP31EnvironGeologyOcalaArea1991_Page_02.txt',
  1991,
)
const waterSupply = looked(
  'US Geological Survey',
  'Water-Supply Papers',
  'definition of terms, cfs-day',
  'https://books.google.com/books/about/Geological_Survey_Water_supply_Paper.html?id=y8sPAAAAIAAJ&hl=en',
  1960,
)
const congress = looked(
  'US Congress (US Geological Survey report)',
  'Congressional Edition 6009, Convenient equivalents',
  'list of equivalents',
  'https://www.bookdepository.com/Congressional-Edition-6009-Professor-United-States-Congress/9781236640383',
  1911,
)
const district = looked(
  'a water conservancy district (public agency)',
  'Water conversions',
  'list of equivalents',
  'http://www.prwcd.org/water_conv.html',
)
const eiaBasics = looked(
  'US Energy Information Administration',
  'Basics, conversions (archived)',
  'metric equivalents',
  'https://webarchive.library.unt.edu/eot2008/20090102202818/http://www.eia.doe.gov/basics/conversion_basics.html',
  2008,
)
const eiaCalculators = looked(
  'US Energy Information Administration',
  'Energy conversion calculators',
  'electricity',
  'https://www.eia.gov/energyexplained/units-and-calculators/energy-conversion-calculators.php',
  2021,
)
const irrigationFormulas = looked(
  'public reference page',
  'Irrigation Formulas',
  'water measurement and pressure',
  'http://www.i4at.org/lib2/iformula.htm',
)

/** value, unit → printed figure in another unit of the dimension. */
type Row = readonly [
  id: string,
  value: number,
  unit: string,
  dimension: Dimension,
  printed: number,
  to: string,
  within: number,
  source: Source,
  note?: string,
]

const rows: readonly Row[] = [
  ['units-001', 1, 'ft', 'length', 0.3048, 'm', 1e-15, quotedB8A],
  ['units-002', 1, 'in', 'length', 0.0254, 'm', 1e-15, quotedB8A],
  ['units-003', 1, 'psi', 'pressure', 6894.757, 'Pa', 5e-4, quotedB8B],
  ['units-004', 1, 'hp', 'power', 745.6999, 'W', 5e-5, quotedB8A],
  ['units-005', 1, 'gal', 'volume', 3.785412e-3, 'm3', 5e-10, quotedB8A],
  ['units-006', 1, 'gpm', 'flow', 6.30902e-5, 'm3/s', 5e-12, quotedB8B],
  ['units-007', 1, 'cfs', 'flow', 0.02831685, 'm3/s', 5e-9, quotedB8B],
  ['units-008', 1, 'inHg', 'pressure', 3386.389, 'Pa', 5e-4, quotedB8A, 'conventional inch of mercury'],
  ['units-009', 1, 'ftH2O', 'pressure', 2989.067, 'Pa', 5e-4, quotedB8A, 'conventional foot of water'],
  ['units-010', 1, 'inH2O', 'pressure', 249.0889, 'Pa', 5e-5, quotedB8A, 'conventional inch of water'],
  ['units-011', 1, 'mmHg', 'pressure', 133.3224, 'Pa', 5e-5, quotedB9],
  ['units-012', 1, 'metric-hp', 'power', 735.4988, 'W', 5.1e-5, quotedPower, 'exactly half way: 735.49875'],
  ['units-013', 1, 'Btu', 'energy', 1055.056, 'J', 5e-4, quotedB8A],
  ['units-014', 1, 'therm-ec', 'energy', 105.506, 'MJ', 5e-4, quotedB8A],
  ['units-015', 1, 'therm', 'energy', 105.4804, 'MJ', 5e-5, quotedB8A],
  ['units-016', 1, 'kgf/cm2', 'pressure', 98066.5, 'Pa', 1e-9, quotedB9],
  ['units-017', 1, 'kWh', 'energy', 3412.14, 'Btu', 5e-3, unitList, 'printed as 1 kW in Btu/h: 3412.141633'],
  ['units-018', 1, 'acre-ft', 'volume', 1233.48183754752, 'm3', 1e-8, definitions, 'of the international foot'],
  ['units-019', 1, 'acre-ft', 'volume', 325851, 'gal', 0.5, irrigationToday],
  ['units-020', 1, 'cfs', 'flow', 449, 'gpm', 0.5, florida],
  ['units-022', 1, 'cfs', 'flow', 1.98347, 'acre-ft/d', 5e-6, definitions],
  ['units-023', 1, 'cfs', 'flow', 0.991736, 'acre-in/h', 5e-7, definitions],
  ['units-024', 1, 'acre-in/h', 'flow', 452.571, 'gpm', 5e-4, definitions],
  ['units-025', 1, 'MGD', 'flow', 694.444, 'gpm', 5e-4, definitions],
  ['units-026', 1, 'miners-inch-40', 'flow', 11.2208, 'gpm', 5e-5, definitions],
  ['units-027', 1, 'miners-inch-50', 'flow', 8.97662, 'gpm', 5e-6, definitions],
  ['units-028', 1, 'miners-inch-38.4', 'flow', 11.6883, 'gpm', 5e-5, definitions],
  ['units-029', 1, 'hp-h', 'energy', 0.7456998716, 'kWh', 5e-11, definitions],
  ['units-030', 1, 'ftH2O', 'pressure', 0.433528, 'psi', 5e-7, definitions],
  ['units-033', 1, 'cfs', 'flow', 40, 'miners-inch-40', 1e-9, congress, 'California, law of 1901'],
  ['units-034', 1, 'cfs', 'flow', 38.4, 'miners-inch-38.4', 1e-9, congress, 'Colorado'],
  ['units-035', 1, 'acre-ft/d', 'flow', 226, 'gpm', 0.5, district],
  ['units-036', 1, 'acre-ft/d', 'flow', 0.504, 'cfs', 5e-4, district],
  ['units-037', 1000, 'gpm', 'flow', 4.42, 'acre-ft/d', 5e-3, district],
  ['units-038', 1000, 'gpm', 'flow', 2.23, 'cfs', 5e-3, district],
  ['units-039', 1, 'Btu', 'energy', 1055.05585262, 'J', 1e-8, eiaBasics],
  ['units-040', 1, 'kWh', 'energy', 3412, 'Btu', 0.5, eiaCalculators],
  ['units-041', 1, 'kW', 'power', 1.34102209, 'hp', 5e-9, unitList],
  ['units-042', 1, 'ft3', 'volume', 7.480519481, 'gal', 5e-10, unitList],
  ['units-043', 1, 'ft3', 'volume', 28.31684659, 'L', 5e-9, unitList, 'printed in cm³'],
  ['units-044', 1, 'acre-in', 'volume', 27000, 'gal', 500, irrigationFormulas, 'printed to the thousand'],
  ['units-045', 1, 'acre-ft', 'volume', 325900, 'gal', 50, irrigationFormulas, 'printed to the hundred'],
  ['head-010', 1, 'inHg', 'pressure', 1.13, 'ftH2O', 5e-3, irrigationFormulas],
]

/** A second-foot flowing for a day. */
const secondFootDay = (to: string): number => {
  const volume = si(1, 'cfs', 'flow') * si(1, 'd', 'time')
  return convert(volume, 'm3', 'volume', to)
}

/** A gallon a minute for each foot of drawdown. */
const specificCapacity = (unit: string): number => {
  const value = formula('specific-capacity', { flow: si(1, 'gpm', 'flow'), drawdown: si(1, 'ft', 'length') })
  return convert(value, 'm2/s', 'specific-capacity', unit)
}

export const unitChecks: readonly Check[] = [
  ...rows.map(([id, value, unit, dimension, printed, to, within, source, note]) => ({
    id,
    what: `${value} ${unit} in ${to}`,
    source,
    printed,
    unit: to,
    within,
    ...(note === undefined ? {} : { note }),
    computed: () => convert(value, unit, dimension, to),
  })),
  {
    id: 'units-021',
    what: '1 gpm/ft in (L/s)/m',
    source: florida,
    printed: 0.207,
    unit: '(L/s)/m',
    within: 5e-4,
    computed: () => specificCapacity('(L/s)/m'),
  },
  {
    id: 'units-031',
    what: '1 cfs for a day in acre-feet',
    source: waterSupply,
    printed: 1.983471,
    unit: 'acre-ft',
    within: 5e-7,
    computed: () => secondFootDay('acre-ft'),
  },
  {
    id: 'units-032',
    what: '1 cfs for a day in US gallons',
    source: waterSupply,
    printed: 646317,
    unit: 'gal',
    within: 0.5,
    computed: () => secondFootDay('gal'),
  },
]
