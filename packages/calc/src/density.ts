/** Density of the water of a run, at the temperature that was read or that stands in for it. */
import { waterDensity } from './formulas/water-density.ts'
import type { Node } from './graph.ts'
import type { Reading } from './readings.ts'
import { defaultKind, leafKind, type Surroundings, widen } from './surroundings.ts'

const TEMPERATURE = leafKind('Water temperature', 'temperature')

export interface Water {
  /** In °C. */
  readonly temperature: Node
  /** In kg/m³. */
  readonly density: Node
}

/** Temperature and density of the water of a run; `place` is that of the run. */
export function measureWater(
  run: { readonly waterTemperature?: Reading },
  place: string,
  visit: Pick<Surroundings, 'graph' | 'edition' | 'instruments'>,
): Water {
  const { graph, edition } = visit
  if (run.waterTemperature !== undefined) {
    const at = `${place}/waterTemperature`
    const temperature = graph.leaf(TEMPERATURE, at, run.waterTemperature)
    widen(visit, 'water-temperature', 'certify', at, at, temperature, 1)
    return { temperature, density: graph.apply(waterDensity, { temperature }) }
  }
  const value = edition.settings.densityDefaultTemperatureC
  const at = 'edition/water-temperature-not-read'
  const temperature = graph.leaf(TEMPERATURE, at, { value, unit: 'degC' })
  const component = visit.instruments.shared('edition', at, () => ({
    kind: defaultKind(edition, 'water-temperature-not-read', 'measure'),
    place: at,
    group: at,
    u: edition.defaults['water-temperature-not-read'].u,
    dof: Infinity,
  }))
  graph.act(component, temperature, 1)
  return { temperature, density: graph.apply(waterDensity, { temperature }) }
}
