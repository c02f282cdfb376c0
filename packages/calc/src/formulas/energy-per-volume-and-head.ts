/** Energy for each unit of water and of head. */
import { defineFormula } from '../formula.ts'

/** Energy per volume and head in J/m³/m. */
export const energyPerVolumeAndHead = defineFormula({
  id: 'energy-per-volume-and-head',
  title: 'Energy per volume and head',
  unit: 'J/m3/m',
  inputs: { energyPerVolume: 'J/m3', head: 'm' },
  expression: 'e_H = e / H',
  symbols: {
    energyPerVolume: ['e', 'energy per volume of water'],
    head: ['H', 'total dynamic head'],
  },
  source: { document: 'general science', place: 'definition', basis: 'derived' },
  value: ({ energyPerVolume, head }) => energyPerVolume / head,
  partials: ({ energyPerVolume, head }) => ({ energyPerVolume: 1 / head, head: -energyPerVolume / (head * head) }),
})
