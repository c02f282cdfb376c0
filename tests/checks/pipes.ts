/** Pipes measured round the outside, one velocity for the whole pipe, several pipes, and the error of a meter. */
import { latestEdition } from '@liftledger/calc'
import { type Check, convert, formula, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const pipePage = lookedUp(
  'public how-to page',
  'How to know the pipe diameter',
  'example of a pipe of 400 mm circumference',
  'http://en.kakprosto.ru/how-66132-how-to-know-the-pipe-diameter',
)
const turbulentNotes = lookedUp(
  'public course notes',
  'Velocity distribution in turbulent flow',
  'mean velocity by the one-seventh power law',
  'https://msubbu.in/ln/fm/Unit-II/VelocityDistributionTurbulent.htm',
)
const tubePage = lookedUp(
  'maker of flow elements',
  'Pitot tubes',
  'ratio of mean velocity to that in the centre, 0.83 to 0.85',
  'http://www.tmtecnomatic.com/pitot-tubes.php',
)
const operatorExam = lookedUp(
  'public page for water operators',
  'acceptable accuracy of small water meters',
  '100 gallons flow, 98.5 to 101 are shown',
  'https://nmwaterlevel4.passetra.com/question/what-is-the-acceptable-accuracy-dcd1697584e31464',
)
const waterLossBook = lookedUp(
  'public library copy of a handbook',
  'Water Loss Control',
  'table 12.8, page 186',
  'https://digilib.universitaspertamina.ac.id/ebook/Water%20Loss%20Control/files/basic-html/page213.html',
)
const derived = (document: string, place: string): Source => ({
  publication: { publisher: 'worked by hand', document, place },
  basis: 'derived',
})
const geometry = derived('general geometry', 'area of a circle and of a rectangle')
const continuity = derived('general hydraulics', 'what flows in all pipes adds up')
const offset = derived('general arithmetic', 'a known offset is taken off')

const millimetres = (metres: number) => metres * 1000
const outside = (circumferenceMm: number) =>
  formula('outside-from-circumference', { circumference: circumferenceMm / 1000 })
const errorOf = (other: number, tested: number) => formula('relative-flow-difference', { other, tested }) * 100
const sumInGpm = (...rates: number[]) =>
  convert(formula('sum-of-flows', { flows: rates.map((rate) => si(rate, 'gpm', 'flow')) }), 'm3/s', 'flow', 'gpm')
const meanOfCentre = (factor: number) => formula('profile-velocity', { velocity: 1, factor })

const rows: readonly Row[] = [
  [
    'pipe-outside-1',
    'outside diameter of a pipe of 400 mm circumference',
    pipePage,
    127.4,
    'mm',
    0.1,
    () => millimetres(outside(400)),
    'the page divides by 3.14',
  ],
  [
    'pipe-outside-2',
    'its inside diameter with a wall of 3 mm',
    pipePage,
    121.4,
    'mm',
    0.1,
    () => millimetres(formula('diameter-from-outside', { outside: outside(400), wall: 0.003, lining: 0 })),
    'the page divides by 3.14',
  ],
  [
    'pipe-factor-1',
    'mean velocity of a profile after the one-seventh power law, by the factor of the edition',
    turbulentNotes,
    0.817,
    '1',
    0.005,
    () => meanOfCentre(latestEdition.settings.pipeFactorNotGiven),
    'the edition rounds to two digits',
  ],
  [
    'pipe-factor-2',
    'the middle of the ratios that a maker gives, by the factor of the edition',
    tubePage,
    0.84,
    '1',
    0.04,
    () => meanOfCentre(latestEdition.settings.pipeFactorNotGiven),
    'within the half-width that the edition gives its factor',
  ],
  [
    'flow-error-1',
    'meter that shows 98.5 gallons of 100: 1.5 % low',
    operatorExam,
    -1.5,
    '%',
    0.05,
    () => errorOf(98.5, 100),
  ],
  [
    'flow-error-2',
    'meter that shows 101 gallons of 100: 1 % high',
    operatorExam,
    1,
    '%',
    0.05,
    () => errorOf(101, 100),
  ],
  [
    'flow-error-3',
    'registration of 90.0 %: 93.92 registered, 10.43 lost',
    waterLossBook,
    90 - 100,
    '%',
    0.05,
    () => errorOf(93.92, 93.92 + 10.43),
  ],
  [
    'flow-error-4',
    'registration of 96.54 %: 610.48 registered, 21.86 lost',
    waterLossBook,
    96.54 - 100,
    '%',
    0.05,
    () => errorOf(610.48, 610.48 + 21.86),
    'the loss is printed to four digits',
  ],
  [
    'flow-error-5',
    'registration of 101.0 %: 234.80 registered, 2.32 too much',
    waterLossBook,
    101 - 100,
    '%',
    0.05,
    () => errorOf(234.8, 234.8 - 2.32),
  ],
  ['several-pipes-1', 'pipes of 421, 388 and 90 gpm', continuity, 899, 'gpm', 1e-9, () => sumInGpm(421, 388, 90)],
  [
    'several-pipes-2',
    'pipes of 640 gpm, and of 31 gpm that runs back',
    continuity,
    609,
    'gpm',
    1e-9,
    () => sumInGpm(640, -31),
  ],
  [
    'probe-area-1',
    'pipe of 10 in with a stem of half an inch halfway in: 78.53982 less 2.5 square inches',
    geometry,
    76.03982,
    'in2',
    5e-6,
    () => {
      const inch = 0.0254
      const area = formula('pipe-area', { diameter: 10 * inch })
      return formula('area-beside-probe', { area, width: 0.5 * inch, immersion: 5 * inch }) / inch ** 2
    },
  ],
  [
    'flow-zero-1',
    'rate of 52.1 L/s shown, 0.6 L/s without flow',
    offset,
    51.5,
    'L/s',
    1e-9,
    () => formula('zeroed-rate', { shown: 0.0521, zero: 0.0006 }) * 1000,
  ],
  [
    'flow-zero-2',
    'velocity of 1.505 m/s shown, 0.011 m/s backwards without flow',
    offset,
    1.516,
    'm/s',
    1e-9,
    () => formula('zeroed-velocity', { shown: 1.505, zero: -0.011 }),
  ],
]

export const pipeChecks: readonly Check[] = rowsToChecks(rows)
