/** Client addresses in groups that one party can be taken to hold. */
import { isIPv6 } from 'node:net'

/** An IPv4 address itself, also one mapped into IPv6; of an IPv6 address the first 64 bits, which one subscriber gets. */
export function addressGroup(address: string): string {
  const bare = address.split('%', 1)[0]!
  if (!isIPv6(bare)) return bare
  const parts = partsOf(bare)
  if (parts.slice(0, 5).every((part) => part === 0) && parts[5] === 0xffff) {
    return parts
      .slice(6)
      .flatMap((part) => [part >> 8, part & 0xff])
      .join('.')
  }
  return `${parts
    .slice(0, 4)
    .map((part) => part.toString(16))
    .join(':')}::/64`
}

/** The eight parts of an IPv6 address. */
function partsOf(address: string): number[] {
  // A URL's host is written in one way only: hexadecimal, at most one run of zeros left out.
  const [head = '', tail] = new URL(`http://[${address}]`).hostname.slice(1, -1).split('::')
  const numbers = (text: string | undefined): number[] =>
    text === undefined || text === '' ? [] : text.split(':').map((part) => Number.parseInt(part, 16))
  const [before, after] = [numbers(head), numbers(tail)]
  return [...before, ...Array<number>(8 - before.length - after.length).fill(0), ...after]
}
