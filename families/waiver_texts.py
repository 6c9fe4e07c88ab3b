"""The sample texts that come with the program, so that a new house has something to show. Don't run clinics under them.

They must be replaced by texts from a lawyer who is licensed where the clinics are held: what a guardian may sign away
for a child, and in which words, differs from state to state.
"""

from dataclasses import dataclass

__all__ = ["PLACEHOLDERS", "PlaceholderText"]


@dataclass(frozen=True)
class PlaceholderText:
    language: str
    title: str
    body: str


PLACEHOLDERS = (
    PlaceholderText(
        "en",
        "Permission to take part in our clinics",
        "This is a sample. Replace it with a text from a licensed lawyer before you rely on it.\n\n"
        "I am a parent or legal guardian of the children named on this form, and I agree that they take part in the "
        "basketball and hands-on STEM activities of this organization.\n\n"
        "I know that running, jumping and playing with a ball can lead to falls, bumps and, rarely, worse injuries.\n\n"
        "If I can’t be reached in an emergency, the adults in charge may call for medical help and give first aid.\n\n"
        "I have told the organization what it needs to know to care for my children, and I will tell it when that "
        "changes. I can withdraw this signature at any time by phone or in writing.",
    ),
    PlaceholderText(
        "es",
        "Permiso para participar en nuestros encuentros",
        "Este es un ejemplo. Sustitúyalo por un texto de un abogado con licencia antes de confiar en él.\n\n"
        "Soy el padre, la madre o el tutor legal de las niñas y los niños nombrados en este formulario y acepto que "
        "participen en las actividades de baloncesto y de taller de ciencia y tecnología de esta organización.\n\n"
        "Sé que correr, saltar y jugar con un balón puede causar caídas, golpes y, rara vez, lesiones más graves.\n\n"
        "Si no es posible localizarme en una emergencia, los adultos a cargo pueden pedir ayuda médica y dar primeros "
        "auxilios.\n\n"
        "He informado a la organización de lo que necesita saber para cuidar a mis niñas y niños y le avisaré cuando "
        "cambie. Puedo retirar esta firma en cualquier momento por teléfono o por escrito.",
    ),
)
