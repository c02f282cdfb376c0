/**
 * Takes a large schema apart, so that its validator becomes many small functions instead of one.
 *
 * As one function the validator of a sheet had eleven megabytes of source. V8's optimising compilers keep a set of live
 * registers for each bytecode and took seconds to minutes and gigabytes over it, while every request waited.
 */
type Json = Record<string, unknown>

const CHOICES = ['oneOf', 'anyOf', 'allOf']

const isObject = (value: unknown): value is Json => typeof value === 'object' && value !== null && !Array.isArray(value)

/**
 * The same schema with every object and choice below it moved to `definitions`, equal ones once. The description stays
 * beside the reference, since messages to a reader quote it; so does the member that tells the branches of a choice
 * apart. To be compiled with `inlineRefs: false`.
 */
export function parted(schema: object): Json {
  const definitions: Json = {}
  const names = new Map<string, string>()

  const referenceTo = (node: Json): Json => {
    const text = JSON.stringify(node)
    let name = names.get(text)
    if (name === undefined) {
      name = String(names.size)
      names.set(text, name)
      definitions[name] = node
    }
    return { $ref: `#/definitions/${name}` }
  }

  const moved = (node: unknown): unknown => {
    if (!isObject(node)) return node
    const { description, ...inner } = inside(node)
    const beside = description === undefined ? {} : { description }
    const large = 'properties' in node || CHOICES.some((keyword) => keyword in node)
    return { ...(large ? referenceTo(inner) : inner), ...beside }
  }

  const branch = (node: unknown, tag: unknown): unknown => {
    const member = isObject(node) && isObject(node.properties) ? node.properties[String(tag)] : undefined
    if (member === undefined) return moved(node)
    return { ...(moved(node) as Json), type: 'object', properties: { [String(tag)]: member }, required: [tag] }
  }

  const inside = (node: Json): Json => {
    const tag = isObject(node.discriminator) ? node.discriminator.propertyName : undefined
    return Object.fromEntries(
      Object.entries(node).map(([key, value]) => {
        if (key === 'properties' && isObject(value)) {
          return [key, Object.fromEntries(Object.entries(value).map(([name, member]) => [name, moved(member)]))]
        }
        if (CHOICES.includes(key) && Array.isArray(value)) return [key, value.map((node) => branch(node, tag))]
        return [key, key === 'items' ? moved(value) : value]
      }),
    )
  }

  return { ...inside(schema as Json), definitions }
}
