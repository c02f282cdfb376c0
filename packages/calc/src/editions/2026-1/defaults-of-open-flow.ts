/** Standard uncertainties of edition 2026-1 where flow is measured in the open. */
import { uncertain } from './defaults.ts'
import { judged, lookedUp, practice } from './sources.ts'

const WATER_MEASUREMENT = 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001'

export const defaultsOfOpenFlow = {
  'water-head': uncertain('Head of the water', 3, 'mm', 'length', 'rectangular', practice('head read to about 3 mm')),
  'notch-angle': uncertain('Angle of a notch', 0.5, 'deg', 'angle', 'rectangular', judged('half a degree by template')),
  'crest-length': uncertain('Length of a crest', 2, 'mm', 'length', 'rectangular', judged('a steel rule on the plate')),
  'weir-coefficient': uncertain('Coefficient of a weir', 2, '%', 'ratio', 'standard', practice('field weir in order')),
  'cipolletti-coefficient': uncertain(
    'Coefficient of a Cipolletti weir',
    2.5,
    '%',
    'ratio',
    'standard',
    lookedUp(WATER_MEASUREMENT, 'ch. 7 section 12, plus or minus 5 percent'),
  ),
  'flume-coefficient': uncertain(
    'Coefficient of a Parshall flume',
    3,
    '%',
    'ratio',
    'standard',
    practice('3 to 5 percent in the field'),
  ),
  'orifice-coefficient': uncertain(
    'Coefficient of an orifice',
    2,
    '%',
    'ratio',
    'standard',
    practice('at least 2 percent'),
  ),
  'orifice-diameter': uncertain(
    'Diameter of an orifice',
    0.5,
    'mm',
    'length',
    'rectangular',
    judged('a calliper on a worn edge'),
  ),
  trajectory: uncertain(
    'Flow by the fall of a jet, relative',
    5,
    '%',
    'ratio',
    'standard',
    practice('at least 5 percent'),
  ),
  'vertical-jet': uncertain(
    'Flow by a vertical jet, relative',
    10,
    '%',
    'ratio',
    'rectangular',
    lookedUp(WATER_MEASUREMENT, 'ch. 14 section 13, plus or minus 10 percent'),
  ),
  'vertical-overflow': uncertain(
    'Flow over the rim of a vertical pipe, relative',
    15,
    '%',
    'ratio',
    'rectangular',
    lookedUp(WATER_MEASUREMENT, 'ch. 14 section 13, plus or minus 15 percent'),
  ),
  'tank-volume': uncertain(
    'Volume of a tank, relative',
    1,
    '%',
    'ratio',
    'rectangular',
    practice('a tank measured with a tape'),
  ),
}
