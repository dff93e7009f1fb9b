/** Materials as a draftsman hatches them. Ids carry the drawing's own name, for several stand on one page. */
export function Hatches({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`${id}-masonry`} width={7} height={7} patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path d="M0 0v7" stroke="var(--ink2)" stroke-width={0.8} />
      </pattern>
      <pattern id={`${id}-concrete`} width={16} height={16} patternUnits="userSpaceOnUse">
        <circle cx={3} cy={4} r={0.8} fill="var(--ink2)" />
        <circle cx={12} cy={11} r={0.8} fill="var(--ink2)" />
        <path d="m8 2 2.4 3.6H5.6z" fill="none" stroke="var(--ink2)" stroke-width={0.7} />
      </pattern>
      <pattern id={`${id}-earth`} width={44} height={30} patternUnits="userSpaceOnUse">
        <path
          d="m2 12 8-8m-4 9 8-8m-4 9 8-8M24 18l8 8m-4-9 8 8m-4-9 8 8"
          stroke="var(--soil)"
          stroke-width={0.8}
          fill="none"
        />
      </pattern>
      <linearGradient id={`${id}-fade`} x1="0" y1="0" x2="0" y2="1">
        <stop offset="0" stop-color="var(--soilFill)" />
        <stop offset="1" stop-color="var(--sheet)" />
      </linearGradient>
      <linearGradient id={`${id}-deep`} x1="0" y1="0" x2="0" y2="1">
        <stop offset="0.25" stop-color="var(--sheet)" stop-opacity="0" />
        <stop offset="1" stop-color="var(--sheet)" />
      </linearGradient>
    </defs>
  )
}
