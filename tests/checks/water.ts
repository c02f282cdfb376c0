/** Density of water, by the product's formula after Kell (1975). */
import { type Check, formula, type Source } from './check.ts'

const looked = (publisher: string, document: string, place: string, address: string, year?: number): Source => ({
  publication: { publisher, document, place, ...(year === undefined ? {} : { year }) },
  basis: 'looked up',
  address,
})
const GOLDEN_TABLE =
  'https://github.com/pjazdzyk/unitility/blob/c727442d471e6ec44d728616768e876e7d121cd8/unitility-core/src/test/java/com/synerset/unitility/unitsystem/definitions/GoldenTable.java'
const handbook = (address: string): Source =>
  looked('CRC Press', 'Handbook of Chemistry and Physics', 'standard density of water', address, 2004)
const handbookAt = handbook('https://www.thoughtco.com/what-is-the-density-of-water-609413')
const handbookText = handbook('a public source text with a table of water densities')
const handbookQuoted = handbook(GOLDEN_TABLE)
const referencePage = looked(
  'public reference page',
  'Water: density versus temperature',
  'list',
  'https://wfrjr.com/data/formula/data/water.html',
)
const laliberte = looked(
  'Laliberté, after Kell (1975)',
  'density of water as quoted with the coefficients',
  'function for the density of water',
  'https://github.com/CalebBell/thermo/blob/0157e941062d46123bdd30df75af4e3780615927/thermo/electrochem.py',
  2009,
)
const release = looked(
  'IAPWS',
  'SR6-08 supplementary release, liquid water at 0.1 MPa',
  'check values at 298.15 K',
  'a public source text that quotes the check values',
  2011,
)
const webbook = looked(
  'NIST',
  'Chemistry WebBook, water (IAPWS-95), 0.101325 MPa',
  'isobaric table, as quoted',
  GOLDEN_TABLE,
  2024,
)

const OLDER_SCALE = 'Kell’s formula is on the older temperature scale: up to 0.004 kg/m³ below newer tables to 40 °C'
const ABOVE_40 = 'Kell’s formula and newer ones part by up to 0.02 kg/m³ above 40 °C'

type Row = readonly [id: string, celsius: number, printed: number, within: number, source: Source, note?: string]

const rows: readonly Row[] = [
  ['water-001', 0, 999.84, 0.005, handbookAt, 'the copy prints 999.8395, which rounds to this'],
  ['water-002', 4, 999.97, 0.005, handbookAt, 'the copy prints 999.9720, which rounds to this'],
  ['water-003', 10, 999.7, 0.005, handbookAt, 'the copy prints 999.7026, which rounds to this'],
  ['water-004', 15, 999.1, 0.005, handbookAt, 'the copy prints 999.1026, which rounds to this'],
  ['water-005', 20, 998.21, 0.01, handbookAt, `${OLDER_SCALE}; the copy prints 998.2071`],
  ['water-006', 25, 997.05, 0.01, handbookAt, `${OLDER_SCALE}; the copy prints 997.0479`],
  ['water-007', 30, 995.65, 0.01, handbookAt, `${OLDER_SCALE}; the copy prints 995.6502`],
  ['water-008', 40, 992.22, 0.01, handbookText, OLDER_SCALE],
  ['water-009', 50, 988.0362916, 5.1e-8, laliberte, 'the same coefficients, printed as 988.0362916114763'],
  ['water-010', 60, 983.2, 0.01, handbookQuoted, `${ABOVE_40}; the copy prints 983.19582`],
  ['water-011', 80, 971.79, 0.02, handbookText, ABOVE_40],
  ['water-012', 0, 999.8395, 0.004, referencePage, OLDER_SCALE],
  ['water-013', 4, 999.972, 0.004, referencePage, OLDER_SCALE],
  ['water-014', 10, 999.7026, 0.004, referencePage, OLDER_SCALE],
  ['water-015', 15, 999.1026, 0.004, referencePage, OLDER_SCALE],
  ['water-016', 20, 998.2071, 0.004, referencePage, OLDER_SCALE],
  ['water-017', 22, 997.7735, 0.004, referencePage, OLDER_SCALE],
  ['water-018', 25, 997.0479, 0.004, referencePage, OLDER_SCALE],
  ['water-019', 30, 995.6502, 0.004, referencePage, OLDER_SCALE],
  ['water-040', 25, 997.047013, 0.004, release, OLDER_SCALE],
  ['water-041', 10, 999.70247, 0.004, webbook, OLDER_SCALE],
  ['water-042', 60, 983.19582, 0.012, webbook, ABOVE_40],
]

export const density = (celsius: number): number => formula('water-density', { temperature: celsius })

export const waterChecks: readonly Check[] = rows.map(([id, celsius, printed, within, source, note]) => ({
  id,
  what: `density of water at ${celsius} °C`,
  source,
  printed,
  unit: 'kg/m3',
  within,
  ...(note === undefined ? {} : { note }),
  computed: () => density(celsius),
}))
