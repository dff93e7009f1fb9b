/** Pointer gestures on a chart: drag to choose a span, one finger to move, two fingers to look closer, hover to read. */
import { panned, type Span, within, zoomed } from './span.ts'

export interface GestureTarget {
  element: HTMLElement
  span(): Span
  record(): Span
  /** The instant under a horizontal place of the page [CSS px]. */
  instantAt(clientX: number): number
  /** Left and right end of the drawn area [CSS px of the page]. */
  ends(): { left: number; right: number }
}

export interface GestureAnswers {
  onSpan(span: Span): void
  /** While a mouse drags a choice: its ends, or null when it ended. */
  onChoosing(span: Span | null): void
  /** The instant that is pointed at, or null when the pointer left. */
  onCursor(at: number | null): void
}

/** A drag shorter than this is a click. */
const CLICK_PX = 5

/** @returns takes every listener off again */
export function followPointer(target: GestureTarget, answers: GestureAnswers): () => void {
  const { element } = target
  const fingers = new Map<number, number>()
  let chosenFrom: { clientX: number; at: number } | null = null
  let pinchFrom: { gap: number; middleAt: number; span: Span } | null = null
  let panFrom: { clientX: number; span: Span } | null = null

  function down(event: PointerEvent): void {
    if (event.button !== 0) return
    if (event.pointerType === 'mouse') {
      chosenFrom = { clientX: event.clientX, at: target.instantAt(event.clientX) }
      element.setPointerCapture(event.pointerId)
      return
    }
    fingers.set(event.pointerId, event.clientX)
    element.setPointerCapture(event.pointerId)
    restart()
  }

  /** A finger came or went: what moves next starts from where the fingers are now. */
  function restart(): void {
    const places = [...fingers.values()]
    pinchFrom = null
    panFrom = null
    if (places.length === 1) panFrom = { clientX: places[0]!, span: target.span() }
    if (places.length === 2) {
      const [a, b] = places as [number, number]
      pinchFrom = { gap: Math.max(20, Math.abs(a - b)), middleAt: target.instantAt((a + b) / 2), span: target.span() }
    }
  }

  function move(event: PointerEvent): void {
    if (event.pointerType === 'mouse') {
      const at = target.instantAt(event.clientX)
      answers.onCursor(at)
      if (chosenFrom && Math.abs(event.clientX - chosenFrom.clientX) > CLICK_PX) {
        answers.onChoosing({ from: Math.min(chosenFrom.at, at), to: Math.max(chosenFrom.at, at) })
      }
      return
    }
    if (!fingers.has(event.pointerId)) return
    fingers.set(event.pointerId, event.clientX)
    if (pinchFrom) {
      const [a, b] = [...fingers.values()] as [number, number]
      const factor = pinchFrom.gap / Math.max(20, Math.abs(a - b))
      answers.onSpan(zoomed(pinchFrom.span, factor, pinchFrom.middleAt, target.record()))
    } else if (panFrom) {
      const { left, right } = target.ends()
      const share = (panFrom.clientX - event.clientX) / Math.max(1, right - left)
      answers.onSpan(panned(panFrom.span, share, target.record()))
      answers.onCursor(target.instantAt(event.clientX))
    }
  }

  function up(event: PointerEvent): void {
    if (event.pointerType === 'mouse') {
      if (chosenFrom && Math.abs(event.clientX - chosenFrom.clientX) > CLICK_PX) {
        const at = target.instantAt(event.clientX)
        const chosen = { from: Math.min(chosenFrom.at, at), to: Math.max(chosenFrom.at, at) }
        answers.onSpan(within(chosen, target.record()))
      }
      chosenFrom = null
      answers.onChoosing(null)
      return
    }
    fingers.delete(event.pointerId)
    restart()
  }

  const left = (event: PointerEvent) => {
    if (event.pointerType === 'mouse') answers.onCursor(null)
  }

  element.addEventListener('pointerdown', down)
  element.addEventListener('pointermove', move)
  element.addEventListener('pointerup', up)
  element.addEventListener('pointercancel', up)
  element.addEventListener('pointerleave', left)
  return () => {
    element.removeEventListener('pointerdown', down)
    element.removeEventListener('pointermove', move)
    element.removeEventListener('pointerup', up)
    element.removeEventListener('pointercancel', up)
    element.removeEventListener('pointerleave', left)
  }
}
