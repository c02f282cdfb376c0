/**
 * Who owns plants, as far as the record tells: it holds no customers. What stands for one is the name under which a firm keeps
 * its plants, the customer's number in the firm's books; a plant that two firms know under different ones makes the two one
 * customer. Plants without such a name are taken for those of one customer of their firm: then too much is withheld,
 * never too little.
 */
export interface KeptPlant {
  readonly firm_id: string
  readonly plant_id: string
  readonly reference: string | null
}

/** A customer for each plant; the names mean nothing outside the answer. */
export function customersOf(kept: readonly KeptPlant[]): (plant: string) => string {
  const above = new Map<string, string>()
  const topOf = (name: string): string => {
    let top = name
    for (let next = above.get(top); next !== undefined; next = above.get(top)) top = next
    // So that the next walk is short.
    for (let at = name; at !== top; ) {
      const next = above.get(at)!
      above.set(at, top)
      at = next
    }
    return top
  }
  const named = new Set(kept.filter(({ reference }) => reference !== null).map(({ plant_id }) => plant_id))
  for (const { firm_id, plant_id, reference } of kept) {
    // One firm's name for a plant is enough.
    if (reference === null && named.has(plant_id)) continue
    const [plant, customer] = [topOf(`plant ${plant_id}`), topOf(`customer ${firm_id} ${reference ?? ''}`)]
    if (plant !== customer) above.set(plant, customer)
  }
  return (plant) => topOf(`plant ${plant}`)
}
