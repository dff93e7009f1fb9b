/** A photo from a phone is larger than a label in a crawl space needs, and carries where it was taken: made small, it does neither. */

const LONGEST_PX = 2000
const JPEG_QUALITY = 0.85

/** Width and height with the longer side no longer than that; never made larger. */
export function shrunkSize(width: number, height: number, longest: number = LONGEST_PX): [number, number] {
  const by = Math.min(1, longest / Math.max(width, height))
  return [Math.max(1, Math.round(width * by)), Math.max(1, Math.round(height * by))]
}

/** What the browser cannot read goes as it is: the service says what is wrong with it. */
export async function shrunk(file: File): Promise<Blob> {
  let picture: ImageBitmap
  try {
    picture = await createImageBitmap(file)
  } catch {
    return file
  }
  const [width, height] = shrunkSize(picture.width, picture.height)
  const canvas = document.createElement('canvas')
  canvas.width = width
  canvas.height = height
  canvas.getContext('2d')!.drawImage(picture, 0, 0, width, height)
  picture.close()
  const small = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', JPEG_QUALITY))
  return small ?? file
}
