/** Every quantity that is reported: id, title, dimension, and the units in which people read it. */
import type { Dimension, UnitSymbol } from './units.ts'

interface QuantityDeclaration {
  readonly title: string
  readonly dimension: Dimension
  /** Unit shown to readers of US customary units, and to readers of metric units. */
  readonly us: UnitSymbol
  readonly metric: UnitSymbol
}

const declare = (title: string, dimension: Dimension, us: UnitSymbol, metric: UnitSymbol): QuantityDeclaration => ({
  title,
  dimension,
  us,
  metric,
})

export const quantities = {
  flow: declare('Flow', 'flow', 'gpm', 'L/s'),
  'comparison-flow': declare('Flow by the second method', 'flow', 'gpm', 'L/s'),
  'flow-difference': declare('Second method less tested flow, relative', 'ratio', '%', '%'),
  'growers-meter-flow': declare('Flow by the grower’s meter', 'flow', 'gpm', 'L/s'),
  'growers-meter-error': declare('Error of the grower’s meter; above zero if it reads high', 'ratio', '%', '%'),
  'pipe-velocity': declare('Mean velocity in the pipe', 'velocity', 'ft/s', 'm/s'),
  'standing-water-level': declare('Standing water level', 'length', 'ft', 'm'),
  'pumping-water-level': declare('Pumping water level', 'length', 'ft', 'm'),
  'pumping-level-trend': declare('Fall of the pumping water level', 'level-rate', 'ft/h', 'm/h'),
  'standing-level-trend': declare('Fall of the standing water level', 'level-rate', 'ft/h', 'm/h'),
  drawdown: declare('Drawdown', 'length', 'ft', 'm'),
  recovery: declare('Recovery of the well after the stop', 'ratio', '%', '%'),
  lift: declare('Lift', 'length', 'ft', 'm'),
  'suction-head': declare('Suction head above the discharge centre', 'length', 'ft', 'm'),
  'gauge-head': declare('Head of the discharge gauge', 'length', 'ft', 'm'),
  'velocity-head': declare('Velocity head', 'length', 'ft', 'm'),
  'suction-velocity-head': declare('Velocity head at the suction tap', 'length', 'ft', 'm'),
  'field-head': declare('Head without velocity head', 'length', 'ft', 'm'),
  'total-dynamic-head': declare('Total dynamic head', 'length', 'ft', 'm'),
  'column-friction': declare('Friction head of the column', 'length', 'ft', 'm'),
  'bowl-head': declare('Head of the bowls', 'length', 'ft', 'm'),
  'npsh-available': declare('Net positive suction head available', 'length', 'ft', 'm'),
  'water-density': declare('Density of the water', 'density', 'kg/m3', 'kg/m3'),
  'water-power': declare('Water power', 'power', 'hp', 'kW'),
  'input-power': declare('Input power', 'power', 'kW', 'kW'),
  'power-factor': declare('Power factor by two wattmeters', 'ratio', '1', '1'),
  'fuel-rate': declare('Fuel rate at 60 °F', 'fuel-rate', 'gal/h', 'L/h'),
  'gas-rate': declare('Gas rate at base conditions', 'fuel-rate', '1000 ft3/h', 'm3/h'),
  'panel-power': declare('Power by volts and amperes', 'power', 'kW', 'kW'),
  'motor-load': declare('Load of the motor', 'ratio', '%', '%'),
  'motor-output-power': declare('Power at the shaft of the motor', 'power', 'hp', 'kW'),
  'pump-shaft-power': declare('Power at the pump', 'power', 'hp', 'kW'),
  'pump-efficiency': declare('Efficiency of the pump itself', 'ratio', '%', '%'),
  'voltage-unbalance': declare('Unbalance of the voltages', 'ratio', '%', '%'),
  'current-unbalance': declare('Unbalance of the currents', 'ratio', '%', '%'),
  'overall-plant-efficiency': declare('Overall plant efficiency', 'ratio', '%', '%'),
  'overall-plant-efficiency-on-field-head': declare(
    'Overall plant efficiency without velocity head',
    'ratio',
    '%',
    '%',
  ),
  'specific-capacity': declare('Specific capacity', 'specific-capacity', 'gpm/ft', '(L/s)/m'),
  'energy-per-volume': declare('Energy per volume of water', 'energy-per-volume', 'kWh/acre-ft', 'kWh/1000 m3'),
  'energy-per-volume-and-head': declare(
    'Energy per volume and head',
    'energy-per-volume-and-head',
    'kWh/acre-ft/ft',
    'kWh/1000 m3/m',
  ),
  'least-energy-per-volume-and-head': declare(
    'Least possible energy per volume and head',
    'energy-per-volume-and-head',
    'kWh/acre-ft/ft',
    'kWh/1000 m3/m',
  ),
  'water-work-per-energy': declare('Work on the water per energy bought', 'work-per-energy', 'hp-h/kWh', '1'),
  'fuel-per-volume': declare('Fuel per volume of water', 'fuel-per-water', 'gal/acre-ft', 'L/1000 m3'),
  'gas-per-volume': declare('Gas per volume of water', 'fuel-per-water', '1000 ft3/acre-ft', 'm3/1000 m3'),
  'water-work-per-fuel': declare('Work on the water per volume of fuel', 'work-per-fuel', 'hp-h/gal', 'kWh/L'),
  'water-work-per-gas': declare('Work on the water per volume of gas', 'work-per-fuel', 'hp-h/1000 ft3', 'kWh/m3'),
  'cost-per-volume': declare('Energy cost per volume of water', 'volume', 'acre-ft', 'm3'),
  'timing-spread': declare('Spread of the repeated powers', 'ratio', '%', '%'),
} as const satisfies Record<string, QuantityDeclaration>

export type QuantityId = keyof typeof quantities
export const QUANTITY_IDS = Object.keys(quantities) as QuantityId[]
