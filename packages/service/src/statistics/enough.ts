/**
 * Whether enough plants of enough customers stand behind each row of a table, so that it may be passed on. A door: work lists
 * that sum over plants ask here. By the minimum frequency of public statistics; which customer has which plant is looked up
 * here and told to nobody.
 */
import type { Databases } from '../db/database.ts'
import { customersOf, type KeptPlant } from './published/customers.ts'
import { type Mark, RULES } from './published/rules.ts'

export const MINIMUM = { plants: RULES.plantsMin, customers: RULES.customersMin } as const
export const TOO_FEW = 'too few' satisfies Mark

/** For each row, given as the plants behind it, whether it is to be withheld. */
export async function withholding(
  { statistics }: Pick<Databases, 'statistics'>,
  rows: readonly (readonly string[])[],
): Promise<boolean[]> {
  // All of them: that two names are one customer's may be known from a plant that is in no row.
  const { rows: kept } = await statistics.query<KeptPlant>({
    name: 'keepers_of_plants',
    text: 'select firm_id, plant_id, reference from ll.firm_plant',
  })
  const customerOf = customersOf(kept)
  return rows.map((behind) => {
    const own = new Set(behind)
    const customers = new Set([...own].map(customerOf))
    return own.size < MINIMUM.plants || customers.size < MINIMUM.customers
  })
}
